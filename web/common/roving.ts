/** Where a number stands in its table. */
export type Cell = { readonly row: number; readonly column: number };

/**
 * Where an arrow key, Home or End leads among the numbers of a table: left and right along the row, up and down
 * to the nearest row with a number in that column.
 * @param cells in reading order
 * @param from index of the one that has the focus
 * @returns the index of the next; `from` itself at an edge, `null` for any other key
 */
export function movedTo(cells: readonly Cell[], from: number, key: string): number | null {
  const here = cells[from];
  if (!here) return null;
  const inRow = (i: number) => cells[i]?.row === here.row;
  const column = (i: number) => cells[i]?.column === here.column;
  const indices = cells.map((_, i) => i);
  switch (key) {
    case 'ArrowRight':
      return inRow(from + 1) ? from + 1 : from;
    case 'ArrowLeft':
      return inRow(from - 1) ? from - 1 : from;
    case 'ArrowDown':
      return indices.find((i) => i > from && column(i)) ?? from;
    case 'ArrowUp':
      return indices.findLast((i) => i < from && column(i)) ?? from;
    case 'Home':
      return 0;
    case 'End':
      return cells.length - 1;
    default:
      return null;
  }
}
