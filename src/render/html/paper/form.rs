//! What is filled in with a pen.

use maud::Markup;
use maud::html;

use super::super::frame;

/// Fields with a name; what is not known is left open.
pub(super) fn fields(caption: &str, fields: &[(&str, Option<String>)]) -> Markup {
    html! {
        table class="form" {
            caption { (caption) }
            tbody {
                @for (name, known) in fields {
                    tr {
                        th scope="row" { (name) }
                        @match known {
                            Some(known) => td { (known) },
                            None => td class="blank" { span {} },
                        }
                    }
                }
            }
        }
    }
}

/// The vehicle, the people and the day.
pub(super) fn who(vehicle: &str, people: &[&str]) -> Markup {
    let mut rows = vec![
        ("Vehicle", Some(vehicle.to_owned())),
        ("Identification number", None),
        ("Plate or fleet number", None),
        ("Distance or hours run", None),
        ("Date and place", None),
    ];
    rows.extend(people.iter().map(|role| (*role, None)));
    fields("Who, what, when", &rows)
}

/// Room to sign.
pub(super) fn signatures(roles: &[&str]) -> Markup {
    html! {
        table class="signatures" {
            caption { "To be signed" }
            thead {
                tr {
                    @for column in ["As", "Name", "Date", "Signature"] {
                        th scope="col" { (column) }
                    }
                }
            }
            tbody {
                @for role in roles {
                    tr {
                        th scope="row" { (role) }
                        @for column in ["Name", "Date", "Signature"] {
                            td class="blank" data-column=(column) { span {} }
                        }
                    }
                }
            }
        }
    }
}

/// Things to do, each with a box.
pub(super) fn boxes<T: AsRef<str>>(things: impl IntoIterator<Item = T>) -> Markup {
    html! {
        ul class="boxes" {
            @for thing in things {
                li { span class="box" role="img" aria-label="box to tick" {} (frame::typed(thing.as_ref())) }
            }
        }
    }
}
