//! Records from text to document.

use keyoff::read::Limits;

#[test]
fn every_record_of_the_corpus_is_read() {
    let mut read = 0;
    for folder in ["examples", "tests/data/clean", "tests/data/faulty"] {
        for entry in std::fs::read_dir(folder).into_iter().flatten() {
            let path = entry.unwrap().path();
            if path.extension().is_none_or(|ending| ending != "yaml") {
                continue;
            }
            let name = path.to_string_lossy().into_owned();
            let bytes = std::fs::read(&path).unwrap();
            let mut beside = |file: &str| {
                std::fs::read(path.with_file_name(file)).map_err(|error| error.to_string())
            };
            match keyoff::read::read(&name, &bytes, &mut beside, &Limits::default()) {
                Ok(document) => assert!(!document.parts.is_empty(), "{name}"),
                Err(unreadable) => {
                    for problem in &unreadable.problems {
                        panic!(
                            "{name}:{}: {} | {} | {:?}",
                            unreadable.sources.position(problem.at).line,
                            problem.message,
                            unreadable.sources.slice(problem.at),
                            problem.help
                        );
                    }
                }
            }
            read += 1;
        }
    }
    assert!(read > 0, "{read}");
}
