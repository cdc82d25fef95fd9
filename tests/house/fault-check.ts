import { type SourceFile, visit } from './sources.ts';

/**
 * The fault codes a document describes: first cells, in backticks, of the tables under "Fault codes".
 *
 * @param markdown the whole document
 * @returns the codes in the order they stand
 */
export function documentedCodes(markdown: string): string[] {
  const lines = markdown.split('\n');
  const start = lines.findIndex((line) => /^#+ Fault codes\s*$/.test(line));
  if (start < 0) return [];
  const depth = lines[start]?.indexOf(' ') ?? 0;
  const rest = lines.slice(start + 1);
  const end = rest.findIndex((line) => new RegExp(`^#{1,${depth}} `).test(line));
  const chapter = end < 0 ? rest : rest.slice(0, end);
  return chapter.flatMap((line) => /^\|\s*`([^`]+)`\s*\|/.exec(line)?.[1] ?? []);
}

/**
 * The fault codes that something provokes: named whole in a test, or by an invalid example.
 *
 * @param codes the codes to look for
 * @param files the tests
 * @param examplePaths paths of the invalid examples
 * @returns those found
 */
export function provokedCodes(search: {
  readonly codes: readonly string[];
  readonly files: readonly SourceFile[];
  readonly examplePaths: readonly string[];
}): string[] {
  const named = new Set<string>();
  for (const file of search.files) {
    visit(file, {
      Literal: (node) => {
        if (typeof node.value === 'string') named.add(node.value);
      },
    });
  }
  for (const path of search.examplePaths) named.add(/\/invalid\/(.+?)--/.exec(path)?.[1] ?? '');
  return search.codes.filter((code) => named.has(code));
}
