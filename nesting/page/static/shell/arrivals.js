// Files dropped on the page or pasted into it: wherever it stands, they go where their button would have sent them.

/** `take(file)` gets each file in turn. */
export function awaitFiles(take) {
  const all = async (files) => {
    for (const file of files) await take(file);
  };
  addEventListener("dragover", (event) => {
    if (![...event.dataTransfer.types].includes("Files")) return;
    event.preventDefault();
    document.body.classList.add("arriving");
  });
  addEventListener("dragleave", (event) => event.relatedTarget === null && document.body.classList.remove("arriving"));
  addEventListener("drop", (event) => {
    document.body.classList.remove("arriving");
    if (!event.dataTransfer.files.length) return;
    event.preventDefault();
    all([...event.dataTransfer.files]);
  });
  addEventListener("paste", (event) => {
    if (!event.clipboardData?.files.length) return;
    event.preventDefault();
    all([...event.clipboardData.files]);
  });
}
