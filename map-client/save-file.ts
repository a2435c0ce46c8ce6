/** Hands a file to the person, named after the garden: `old-orchard.proposal.pdf`. */
export function saveFile(content: BlobPart, type: string, ending: string, title = 'garden'): void {
  const url = URL.createObjectURL(new Blob([content], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = `${title.toLowerCase().replaceAll(/[^\p{L}\p{N}]+/gu, '-')}.${ending}`;
  link.click();
  URL.revokeObjectURL(url);
}
