import type { MorningSheet } from '../../shared/wire/morning-sheet.ts';

/** The paper a night is drawn for. */
export type NightPaper = 'a4' | 'letter';

type Drawn = { readonly paper: NightPaper; readonly madeAtMs: number };

/** Draws the morning sheet of a night as a PDF. */
export type NightPdf = (sheet: MorningSheet, drawn: Drawn) => Promise<Uint8Array>;
