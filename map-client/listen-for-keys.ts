import type { TableActions, TableState } from './draw/draw-session.ts';

/** Undo and redo by the keys people know; Escape puts the pencil down. Not while text is being written. */
export function listenForKeys(session: TableActions, present: () => TableState | null): void {
  window.addEventListener('keydown', (event) => {
    const table = present();
    if (table === null || event.target instanceof HTMLInputElement) return;
    const isUndoKey = event.key.toLowerCase() === 'z' && (event.ctrlKey || event.metaKey);
    if (isUndoKey) (event.shiftKey ? session.redo : session.undo)();
    else if (event.key.toLowerCase() === 'y' && event.ctrlKey) session.redo();
    else if (event.key === 'Escape' && table.tool !== null) session.take(null);
    else if (event.key === 'Delete' && table.selected !== null && !(event.target instanceof HTMLCanvasElement))
      session.remove();
    else return;
    event.preventDefault();
  });
}
