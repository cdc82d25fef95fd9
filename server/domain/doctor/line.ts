/** One line of the examination: what was found, and what to do where something needs a hand. */
export type Finding = { readonly of: string; readonly found: string; readonly remedy: string | null };

type Say = (of: string, found: string, remedy?: string | null) => Finding;

/** A line of the examination; without a remedy all is well there. */
export const line: Say = (of, found, remedy = null) => ({ of, found, remedy });
