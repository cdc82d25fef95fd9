import { lineOf, type SourceFile, visit } from './sources.ts';

export const FILE_LINES_LIMIT = 300;
export const FUNCTION_LINES_LIMIT = 70;
export const FOLDER_FILES_LIMIT = 15;

/** Folders whose files are a list by nature: migrations are numbered, examples are a case each. */
const LISTS: readonly string[] = [
  'server/adapters/sqlite/migrations',
  'firmware-contracts/v1/examples/invalid',
  'firmware-contracts/v1/examples/valid',
];

/**
 * The folders of the product in which more than 15 files stand side by side.
 *
 * @param paths from the root
 * @returns how many, by folder
 */
export function crowdedFolders(paths: readonly string[]): Readonly<Record<string, number>> {
  const product = paths.filter((path) => /^(server|shared|web|firmware-contracts|seeds)\//.test(path));
  const counts = new Map<string, number>();
  for (const path of product) {
    const folder = path.slice(0, path.lastIndexOf('/'));
    counts.set(folder, (counts.get(folder) ?? 0) + 1);
  }
  const crowded = [...counts].filter(([folder, n]) => n > FOLDER_FILES_LIMIT && !LISTS.includes(folder));
  return Object.fromEntries(crowded);
}

/** Lines of each file and function above its limit, by a name that survives edits elsewhere in the file. */
export type Sizes = Readonly<Record<string, number>>;

/**
 * The files of more than 300 lines, and the functions of more than 70.
 *
 * @param files the code files to measure
 * @returns their lines; a file under its path, a function under the path and its first line
 */
export function oversizeOf(files: readonly SourceFile[]): Sizes {
  const entries = files.flatMap((file): [string, number][] => {
    const lines = file.text.trimEnd().split('\n').length;
    const own: [string, number][] = lines > FILE_LINES_LIMIT ? [[file.path, lines]] : [];
    return [...own, ...longFunctions(file)];
  });
  return Object.fromEntries(entries);
}

function longFunctions(file: SourceFile): [string, number][] {
  const spans: { start: number; end: number }[] = [];
  const suites = new Set<number>();
  visit(file, {
    FunctionDeclaration: (node) => spans.push(node),
    FunctionExpression: (node) => spans.push(node),
    ArrowFunctionExpression: (node) => spans.push(node),
    CallExpression: (node) => {
      // What describe() is given is a chapter of tests, not a function anybody reads as one.
      if (!file.text.slice(node.start).startsWith('describe')) return;
      for (const argument of node.arguments) suites.add(argument.start);
    },
  });
  return spans.flatMap((span): [string, number][] => {
    const first = lineOf(file, span.start);
    const lines = lineOf(file, span.end) - first + 1;
    if (lines <= FUNCTION_LINES_LIMIT || suites.has(span.start)) return [];
    const opening = file.text.split('\n')[first - 1] ?? '';
    return [[`${file.path} ${opening.trim()}`, lines]];
  });
}

/**
 * Compares what is too long now with what was known to be: nothing new, nothing longer, nothing noted for nothing.
 *
 * @param now what is above its limit
 * @param known what was noted before
 * @returns one line for each difference
 */
export function ratchetFaults({ now, known }: { readonly now: Sizes; readonly known: Sizes }): string[] {
  const grown = Object.entries(now).flatMap(([name, lines]) => {
    const before = known[name];
    if (before === undefined) return [`${name}: ${lines} lines are too many; split it`];
    if (lines > before) return [`${name}: grew from ${before} to ${lines} lines; split it`];
    return lines < before ? [`${name}: shrank to ${lines} lines; note that in ratchet.json`] : [];
  });
  const mended = Object.keys(known).filter((name) => now[name] === undefined);
  return [...grown, ...mended.map((name) => `${name}: no longer too long; take it out of ratchet.json`)];
}
