(function () {
  const shown = document.currentScript.dataset.version;
  const note = document.createElement("p");
  note.setAttribute("role", "status");
  note.style.cssText = "position:fixed;bottom:0;right:0;margin:0;padding:.3em .8em;background:#b00020;color:#fff";
  note.textContent = "keyoff view has ended: this page no longer follows the record.";
  // What the reader chose, by its words, for a saved record may have one choice more; kept over a record that cannot be used
  // for a while. A browser may forbid the store.
  const words = (label) => label.textContent.trim();
  function keep() {
    const chosen = [...document.querySelectorAll("input:checked")].flatMap((one) => [...one.labels].map(words));
    if (!chosen.length) return;
    try {
      sessionStorage.setItem("keyoff", JSON.stringify({ chosen, down: scrollY }));
    } catch (forbidden) {}
  }
  function restore() {
    const labels = [...document.querySelectorAll("label")];
    let kept;
    try {
      kept = labels.length && JSON.parse(sessionStorage.getItem("keyoff"));
      if (kept) sessionStorage.removeItem("keyoff");
    } catch (forbidden) {}
    if (!kept) return;
    for (const label of labels) if (label.control && kept.chosen.includes(words(label))) label.control.checked = true;
    scrollTo({ top: kept.down, behavior: "instant" });
  }
  async function look() {
    try {
      const answer = await fetch("/version", { cache: "no-store" });
      if (answer.ok && (await answer.text()) !== shown) {
        location.reload();
        return;
      }
      note.remove();
    } catch (ended) {
      document.body.append(note);
    }
    setTimeout(look, 500);
  }
  history.scrollRestoration = "manual";
  addEventListener("load", restore);
  addEventListener("pagehide", keep);
  setTimeout(look, 500);
})();
