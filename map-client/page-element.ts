/** An element that the page has from the start. Throws where it has none of this id. */
export function pageElement(id: string): HTMLElement {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`the page has no element "${id}"`);
  return found;
}
