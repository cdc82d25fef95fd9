/** Under which name this browser keeps which sections are folded. */
export const FOLDS_KEY = 'strikewell.folded';

/** The sections that were folded; none where nothing, or nothing of use, was kept. */
export function foldsOf(text: string | null): readonly string[] {
  try {
    const read: unknown = JSON.parse(text ?? '[]');
    return Array.isArray(read) ? read.filter((one) => typeof one === 'string') : [];
  } catch {
    return [];
  }
}
