import type { DiaryKind } from '../../shared/model/cuttings/diary.ts';
import type { DiaryEntry } from '../../shared/wire/cuttings/diary.ts';
import type { At } from '../batches/words.ts';
import { momentWords } from '../common/time.ts';

/** Kinds of entries as a person reads them, in the order of their buttons. */
export const KIND_WORDS: Readonly<Record<DiaryKind, string>> = {
  misted: 'Misted',
  vented: 'Vented',
  watered: 'Watered',
  'shade-on': 'Shade on',
  'shade-off': 'Shade off',
  moved: 'Moved',
  treated: 'Treated',
  'power-cut': 'Power cut',
  note: 'Note',
  photo: 'Photo',
};

/** Those that one tap writes down. */
export const TAPPED = (Object.keys(KIND_WORDS) as DiaryKind[]).filter(
  (kind): kind is Exclude<DiaryKind, 'note' | 'photo'> => kind !== 'note' && kind !== 'photo',
);

export const WORDS = {
  lead: 'One tap writes it down with the time of now; the time can be changed afterwards.',
  treated: 'Treatments are only recorded here. The label is the law.',
  none: 'Nothing is written down yet.',
  noneDeleted: 'No entry was deleted in the last 30 days.',
  deletedNote: 'A deleted entry can be restored for 30 days. Its photo is kept as long.',
  photoNote: 'JPEG or PNG, up to 8 MB.',
  noTime: 'when was it?',
  ahead: 'that is still to come',
  noNote: 'write something down first',
  tooLong: 'use at most 2,000 characters',
} as const;

/** How long ago something was, offered with one tap; minutes. */
export const AGO: readonly { readonly minutes: number; readonly words: string }[] = [
  { minutes: 10, words: '10 min ago' },
  { minutes: 30, words: '30 min ago' },
  { minutes: 60, words: '1 h ago' },
  { minutes: 180, words: '3 h ago' },
];

/** What was done, without its time: `Misted`. */
export function kindWords({ kind }: Pick<DiaryEntry, 'kind'>): string {
  return KIND_WORDS[kind];
}

/** What was done and when: `Misted 10:05`, `Vented 10:05 to 10:25`. */
export function entryWords({ kind, at, to }: Pick<DiaryEntry, 'kind' | 'at' | 'to'>, reader: At): string {
  const moment = (time: string) => momentWords({ atMs: Date.parse(time), ...reader });
  const begun = `${KIND_WORDS[kind]} ${moment(at)}`;
  if (kind !== 'vented' || to === at) return begun;
  return to === null ? `${begun}, not shut yet` : `${begun} to ${moment(to)}`;
}

/** What a mark on a chart says: `Misted 10:05`, and who wrote it and the note, where there are any. */
export function markWords(entry: DiaryEntry, reader: At): string {
  const { note, by } = entry;
  return [entryWords(entry, reader), by === null ? null : `by ${by}`, note]
    .filter((part) => part !== null)
    .join(', ');
}

/** What is said of a photo to who cannot see it. */
export function photoWords(entry: DiaryEntry, reader: At): string {
  const when = momentWords({ atMs: Date.parse(entry.at), ...reader });
  return entry.note === null ? `Photo, ${when}` : `Photo, ${when}: ${entry.note}`;
}
