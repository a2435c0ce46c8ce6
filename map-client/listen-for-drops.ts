/** Files let go anywhere over the page; `veil` is shown while they are held over it. */
export function listenForDrops(veil: HTMLElement, open: (files: readonly File[]) => void): void {
  const holdsFiles = (event: DragEvent): boolean => event.dataTransfer?.types.includes('Files') === true;
  window.addEventListener('dragover', (event) => {
    if (!holdsFiles(event)) return;
    event.preventDefault();
    veil.hidden = false;
  });
  window.addEventListener('dragleave', (event) => {
    if (event.relatedTarget === null) veil.hidden = true;
  });
  window.addEventListener('drop', (event) => {
    if (!holdsFiles(event)) return;
    event.preventDefault();
    veil.hidden = true;
    open([...(event.dataTransfer?.files ?? [])]);
  });
}
