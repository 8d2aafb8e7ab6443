(function () {
  const shown = document.currentScript.dataset.version;
  const note = document.createElement("p");
  note.setAttribute("role", "status");
  note.style.cssText = "position:fixed;bottom:0;right:0;margin:0;padding:.3em .8em;background:#b00020;color:#fff";
  note.textContent = "keyoff view has ended: this page no longer follows the record.";
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
  setTimeout(look, 500);
})();
