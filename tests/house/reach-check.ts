import { placeOf, type SourceFile, visit } from './sources.ts';

/** What a room may not reach for, although no import shows it. */
type Ban = {
  readonly what: string;
  readonly names: readonly string[];
  readonly appliesTo: (path: string) => boolean;
};

const inServerOrShared = (path: string): boolean => /^(server|shared|firmware-contracts)\//.test(path);
const isPure = (path: string): boolean => /^(shared|server\/domain)\//.test(path);

/** Rooms that start the program, or keep what nobody caught from ending it. */
const OF_THE_PROCESS: readonly string[] = [
  'server/main.ts',
  'server/launch.js',
  'server/page.ts',
  // makes a release, and is no part of one
  'server/release/release.ts',
  'server/adapters/system/last-resort.ts',
];

/** `new Date` stands for one without arguments, which reads the clock. */
const CLOCK: readonly string[] = [
  'Date.now',
  'new Date',
  'Date()',
  'performance.now',
  'process.hrtime',
  'process.uptime',
  'DateTime.now',
];

const BANS: readonly Ban[] = [
  {
    what: 'the clock, which only server/adapters/system reads',
    names: CLOCK,
    appliesTo: (path) => inServerOrShared(path) && !path.startsWith('server/adapters/system/'),
  },
  {
    what: 'the clock, which on the page only the link and the page state read',
    names: CLOCK,
    appliesTo: (path) => path.startsWith('web/') && !['web/frame/link.ts', 'web/state.ts'].includes(path),
  },
  {
    what: 'a timer, which a pure room has no use for',
    names: ['setTimeout()', 'setInterval()', 'setImmediate()', 'queueMicrotask()'],
    appliesTo: isPure,
  },
  {
    what: 'chance, which a pure room has no use for',
    names: ['Math.random', 'crypto.randomUUID', 'crypto.getRandomValues'],
    appliesTo: isPure,
  },
  {
    what: 'the console, which a pure room has no use for',
    names: ['console.log', 'console.info', 'console.warn', 'console.error', 'console.debug'],
    appliesTo: isPure,
  },
  {
    what: 'the process, which only the start of the program reads',
    names: [
      'process.env',
      'process.argv',
      'process.on',
      'process.once',
      'process.exit',
      'process.exitCode',
      '= process',
    ],
    appliesTo: (path) => !path.startsWith('tests/') && !OF_THE_PROCESS.includes(path),
  },
];

/**
 * Places where a room reaches for a clock, a timer, chance, the console or the process against the table.
 *
 * @param file TypeScript or JavaScript
 * @returns one line for each
 */
export function reachFaults(file: SourceFile): string[] {
  const bans = BANS.filter((ban) => ban.appliesTo(file.path));
  if (bans.length === 0) return [];
  return reachesOf(file).flatMap(({ name, at }) =>
    bans
      .filter((ban) => ban.names.includes(name))
      .map((ban) => `${placeOf(file, at)} reaches for ${ban.what} (${name})`),
  );
}

type Reach = { readonly name: string; readonly at: number };

function reachesOf(file: SourceFile): Reach[] {
  const found: Reach[] = [];
  const note = (name: string, at: number): void => {
    found.push({ name: name.replace(/^globalThis\./, ''), at });
  };
  visit(file, {
    MemberExpression: (node) => note(dotted(node), node.start),
    NewExpression: (node) => {
      if (node.arguments.length === 0) note(`new ${dotted(node.callee)}`, node.start);
    },
    CallExpression: (node) => note(`${dotted(node.callee)}()`, node.start),
    VariableDeclarator: (node) => {
      if (node.init?.type === 'Identifier') note(`= ${node.init.name}`, node.start);
    },
  });
  return found;
}

function dotted(node: { type: string }): string {
  if (node.type === 'Identifier' && 'name' in node) return String(node.name);
  if (node.type !== 'MemberExpression' || !('object' in node) || !('property' in node)) return '';
  return `${dotted(asNode(node.object))}.${propertyName(asNode(node.property))}`;
}

function propertyName(node: { type: string }): string {
  return node.type === 'Literal' && 'value' in node ? String(node.value) : dotted(node);
}

function asNode(value: unknown): { type: string } {
  if (typeof value === 'object' && value !== null && 'type' in value)
    return { ...value, type: String(value.type) };
  throw new Error('not a syntax node');
}
