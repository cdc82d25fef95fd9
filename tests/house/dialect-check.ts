import { lineOf, type SourceFile, visit } from './sources.ts';

/**
 * Words that people do not read: each has a plain one, or the standard one of the field.
 * Machines do not tell, hear or speak; probes report, people are notified, alarms are active, acknowledged, cleared.
 */
const PRIVATE_WORDS: readonly (readonly [RegExp, string])[] = [
  [/\b(is|are|was|were|be|been|being) told\b/i, 'notified, sent, reported or read'],
  [/\b(it|probes?|devices?|sensors?|nothing|they) (tells?|told)\b/i, 'reports, reported'],
  [/\bfell silent|has fallen silent\b/i, 'not reporting since'],
  [/\bheld to\b/i, 'target, goal'],
  [/\bpatience\b/i, 'delay'],
  [/\bneed(s|ing)? a hand\b/i, 'needs attention'],
  [/\bspeaks? against\b/i, 'probe fault'],
  [/\binvented\b/i, 'demo'],
  [/\b(comes and goes|coming and going)\b/i, 'repeating'],
  [/\b(what|which) came of\b/i, 'result'],
  [/\bmends?\b/i, 'fixes'],
  [/\bthrew\b|\bthrown out\b/i, 'disconnected'],
  [/\b(anew|oftener|upon|whoever|whomever)\b/i, 'again, more often, on, who'],
  [/\bput out\b/i, 'send'],
  [/\bis news\b/i, 'is new'],
  [/\bdamper than|drying faster than\b/i, 'VPD below or above target'],
  [/\brefused packs?|packs? refused\b/i, 'rejected messages'],
];

/** What somebody reads in a file: the whole of a text, and sentences in strings and in the marks of a page. */
function readTexts(file: SourceFile): { readonly text: string; readonly at: number }[] {
  if (!/\.tsx?$/.test(file.path)) return [{ text: file.text, at: 0 }];
  const found: { text: string; at: number }[] = [];
  const note = (text: string, at: number) => {
    // a name, a path or a key has no words side by side; SQL is read by the database
    if (/[a-z] [a-z]/i.test(text) && !/^\s*(SELECT|INSERT|UPDATE|DELETE|CREATE) /.test(text))
      found.push({ text, at });
  };
  visit(file, {
    Literal: (node) => void (typeof node.value === 'string' && note(node.value, node.start)),
    TemplateElement: (node) => note(node.value.cooked ?? '', node.start),
    JSXText: (node) => note(node.value, node.start),
  });
  return found;
}

/**
 * Sentences with a private word for a standard thing.
 *
 * @param files whose sentences somebody reads
 * @returns one line for each
 */
export function dialectFaults(files: readonly SourceFile[]): string[] {
  return files.flatMap((file) =>
    readTexts(file).flatMap(({ text, at }) =>
      PRIVATE_WORDS.flatMap(([word, instead]) => {
        const match = word.exec(text);
        if (match === null) return [];
        return [`${file.path}:${lineOf(file, at + match.index)} says "${match[0]}": ${instead}`];
      }),
    ),
  );
}
