import { lineOf, type SourceFile, visit } from './sources.ts';

/**
 * Words of a name that say in private what the field has a word for, each with that word. A name is taken apart at its
 * capitals and underscores. A type is a noun: a verb alone is none.
 */
const PRIVATE_NAMES: readonly (readonly [RegExp, string])[] = [
  [/^(told|tells?|telling|teller|tellings)$/, 'raw, announced, lastSent, notified, reported, publisher'],
  [/^(hears?|heard|overhear|hearing|ears)$/, 'received, latest, foreign messages'],
  [/^urges?$/, 'escalate'],
  [/^(dropper)$/, 'retention'],
  [/^halves$/, 'day and night'],
  [/^(looks?|looked)$/, 'check, sample, view'],
  [/^gathered$/, 'digest, collected'],
  [/^quieten(ed|s)?$/, 'chatter'],
  [/^desks?$/, 'service'],
  [/^(doors?|doorway|doorkeeper|doorbell)$/, 'gateway, guard'],
  [/^(ladders?|rungs?)$/, 'escalation, step'],
  [/^ways?$/, 'contact method'],
  [/^patience$/, 'delay'],
  [/^spent$/, 'elapsed, used'],
  [/^anew$/, 'again'],
];
const PRIVATE_PAIRS: readonly (readonly [RegExp, string])[] = [
  [/by_?design/i, 'suppressedBy'],
  [/runs_?out/i, 'dueAt'],
  [/invented_?/i, 'demo'],
];
const VERB_TYPES = /^(Taken|Arrived|Together|Waiting|Asked|Told|Heard|Looked|Said|Going|Gathered|Keeping)$/;

/**
 * Names that are not ours alone to change: what is sent and stored keeps its spelling until a version changes.
 * The roles of accounts (`look`), addresses, columns, and fields of messages.
 */
const ON_THE_WIRE: ReadonlySet<string> = new Set([
  // ids of operations
  'addWay',
  'changeWay',
  'deleteWay',
  'setLadder',
  'testWay',
  'byDesign',
  'heard',
  'invented',
  'ladder',
  'look',
  'looked',
  'lookedAt',
  'look_again_ms',
  'probesTelling',
  'spent',
  'spentMs',
  'spent_link',
  'toTellOfTaking',
  'told',
  'toldApart',
  'toldMs',
  'toldOfReturn',
  'way',
  'wayId',
  'wayIds',
  'way_failing',
  'way_id',
  'ways',
]);

/** Plain English in which one of the words stands: names are let be whole. */
const PLAIN = /^(underWay|isUnderWay|lookUp|lookUpAll|checkedLookup)$/;

function wordsOf(name: string): string[] {
  return name
    .replaceAll(/([a-z0-9])([A-Z])/g, '$1 $2')
    .split(/[\s_]+/)
    .map((word) => word.toLowerCase());
}

function faultOf(name: string): string | null {
  if (ON_THE_WIRE.has(name) || PLAIN.test(name)) return null;
  for (const [pair, instead] of PRIVATE_PAIRS) if (pair.test(name)) return instead;
  const words = wordsOf(name);
  const found = PRIVATE_NAMES.find(([word]) => words.some((one) => word.test(one)));
  return found?.[1] ?? null;
}

/**
 * Names in the code with a private word for a standard thing, and types that are verbs.
 *
 * @param file TypeScript
 * @returns one line for each name, where it first stands
 */
export function nameFaults(file: SourceFile): string[] {
  const faults = new Map<string, string>();
  const note = (name: string, at: number) => {
    const instead = faultOf(name);
    if (instead !== null && !faults.has(name))
      faults.set(name, `${file.path}:${lineOf(file, at)} names "${name}": ${instead}`);
  };
  visit(file, {
    Identifier: ({ name, start }) => note(name, start),
    PrivateIdentifier: ({ name, start }) => note(name, start),
    JSXIdentifier: ({ name, start }) => note(name, start),
    TSTypeAliasDeclaration: ({ id }) => {
      if (VERB_TYPES.test(id.name))
        faults.set(id.name, `${file.path}:${lineOf(file, id.start)} names a type "${id.name}": a noun`);
    },
  });
  return [...faults.values()];
}
