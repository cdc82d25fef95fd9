import type { Night, NightRow } from '../../wire/places/night.ts';
import { clock, duration, type Reader } from '../plain.ts';

/** What `GET /api/v1/places/{id}/explain` is asked about a number; times in ms since epoch. */
type NumberAsked = {
  readonly placeId: string;
  readonly of: string;
  readonly fromMs: number;
  readonly toMs: number;
};

/** A part of a sentence: words, a number that can be asked, or one that the page of a batch explains. */
export type Piece =
  | string
  | { readonly text: string; readonly asked: NumberAsked }
  | { readonly text: string; readonly batchId: string };
export type Statement = readonly Piece[];

/** A span, ms since epoch. */
type Span = { readonly fromMs: number; readonly toMs: number };

/** One place of a night, and how its reader reads. */
export type PlaceNight = { readonly row: NightRow; readonly span: Span; readonly reader: Reader };

/** `worth`: somebody should read it; `fine`: as it should be; `unknown`: it cannot be judged. */
export type PlaceAnswer = {
  readonly verdict: 'worth' | 'fine' | 'unknown';
  readonly said: Statement;
  /** what is said of so many places together, where it is not what its question says of all that are fine */
  readonly together?: (count: number) => string;
};

/** One question of a morning, and how a place answers it. */
export type MorningQuestion = {
  readonly question: string;
  /** absent where it is answered of the installation alone */
  readonly of?: (one: PlaceNight) => PlaceAnswer;
  /** what is said together of so many places that are as they should be */
  readonly fine?: (count: number) => string;
  /** what is said of the installation as a whole, before its places */
  readonly ofAll?: (night: Pick<Night, 'installation'>, reader: Reader) => PlaceAnswer | null;
};

export const HOUR_MS = 3_600_000;
/** Shorter spells are noise of a probe at the edge of a band, h. */
export const LEAST_HOURS = 5 / 60;

export const unknown = (...said: Piece[]): PlaceAnswer => ({ verdict: 'unknown', said });

export function judged(isWorth: boolean, ...said: readonly Piece[]): PlaceAnswer {
  return { verdict: isWorth ? 'worth' : 'fine', said };
}

/** Writes numbers of a place that can be asked, by the path its explanation has. */
export function askedOf({ row, span }: PlaceNight, over: Span = span) {
  return (text: string, of: string): Piece => ({ text, asked: { placeId: row.placeId, of, ...over } });
}

/** When something was: the clock alone within the night, as its heading says which night it is; else with the day. */
export function timeWords(iso: string, { span, reader }: Pick<PlaceNight, 'span' | 'reader'>): string {
  const atMs = Date.parse(iso);
  const isWithin = atMs >= span.fromMs && atMs <= span.toMs;
  return clock(atMs, isWithin ? { ...reader, nowMs: atMs } : reader);
}

/** A span of hours: "1 h 10 min". */
export function hoursWords(hours: number): string {
  return duration(Math.round(hours * HOUR_MS));
}

/** That a part of the night is not in a number; nothing where it is no more than a gap between readings. */
export function unseenWords(coveredHours: number, { row, span }: PlaceNight): string {
  const unseenMs = Math.round(span.toMs - span.fromMs - coveredHours * HOUR_MS);
  return unseenMs <= row.maxGapMs ? '' : ` Not known for ${duration(unseenMs)}: there were no readings.`;
}

/** `1 place`, `3 places` */
export function placesWords(count: number): string {
  return count === 1 ? '1 place' : `${count} places`;
}

/** Parts as plain words. */
export function plainWords(said: Statement): string {
  return said.map((piece) => (typeof piece === 'string' ? piece : piece.text)).join('');
}
