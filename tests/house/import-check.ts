import { builtinModules } from 'node:module';
import { CLOCK_MODULES, CLOCK_ROOM, IMPORT_TABLE, type Row } from './import-table.ts';
import { placeOf, resolvedFrom, type SourceFile, visit } from './sources.ts';

type Import = { readonly target: string; readonly at: number };

/**
 * Everything a file imports: values and types, at the start and later, and what it exports on.
 *
 * @param file TypeScript or JavaScript
 * @returns what stands between the quotes, and where; a target that is not a plain string is empty
 */
export function importsOf(file: SourceFile): Import[] {
  const found: Import[] = [];
  const note = (source: { value?: unknown; start: number } | null): void => {
    if (source === null) return;
    found.push({ target: typeof source.value === 'string' ? source.value : '', at: source.start });
  };
  const noteExpression = (source: { type: string; start: number }): void => {
    note('value' in source ? { value: source.value, start: source.start } : { start: source.start });
  };
  visit(file, {
    ImportDeclaration: (node) => note(node.source),
    ExportNamedDeclaration: (node) => note(node.source),
    ExportAllDeclaration: (node) => note(node.source),
    ImportExpression: (node) => noteExpression(node.source),
    TSImportType: (node) => note(node.source),
    CallExpression: (node) => {
      const [argument] = node.arguments;
      const isRequire = node.callee.type === 'Identifier' && node.callee.name === 'require';
      if (isRequire && argument !== undefined) noteExpression(argument);
    },
  });
  return found;
}

/**
 * Imports the table does not allow.
 *
 * @param files every code file of the project
 * @returns one line for each
 */
export function importFaults(files: readonly SourceFile[]): string[] {
  return files
    .filter((file) => !file.path.startsWith('tests/'))
    .flatMap((file) => {
      const row = IMPORT_TABLE.find((candidate) => holds(candidate.room, file.path));
      if (row === undefined) return [`${file.path} stands in no room of the import table`];
      return importsOf(file)
        .filter((found) => !isAllowed({ file, row, target: found.target }))
        .map((found) => `${placeOf(file, found.at)} may not import '${found.target}'`);
    });
}

function holds(room: string, path: string): boolean {
  return room.endsWith('/') ? path.startsWith(room) : path === room;
}

function isAllowed({ file, row, target }: { file: SourceFile; row: Row; target: string }): boolean {
  if (target === '') return false;
  if (target.startsWith('.')) {
    const path = resolvedFrom(file, target);
    return [row.room, ...row.rooms].some((room) => holds(room, path));
  }
  if (target.startsWith('node:') || builtinModules.includes(target))
    return isBuiltinAllowed({ file, row, target });
  return row.packages.includes(packageOf(target));
}

function isBuiltinAllowed({ file, row, target }: { file: SourceFile; row: Row; target: string }): boolean {
  if (!target.startsWith('node:') || target === 'node:process') return false;
  if (row.builtins !== 'all') return row.builtins.includes(target);
  return !CLOCK_MODULES.includes(target) || holds(CLOCK_ROOM, file.path);
}

function packageOf(target: string): string {
  return target
    .split('/')
    .slice(0, target.startsWith('@') ? 2 : 1)
    .join('/');
}

/**
 * Circles of files that import each other, types included.
 *
 * @param files every code file of the project
 * @returns one line a circle, naming its files in order
 */
export function importCircles(files: readonly SourceFile[]): string[] {
  const byPath = new Map(files.map((file) => [file.path, file]));
  const done = new Set<string>();
  const circles: string[] = [];
  const walk = (path: string, trail: readonly string[]): void => {
    const start = trail.indexOf(path);
    if (start >= 0) circles.push([...trail.slice(start), path].join(' → '));
    const file = byPath.get(path);
    if (start >= 0 || done.has(path) || file === undefined) return;
    for (const { target } of importsOf(file)) {
      if (target.startsWith('.')) walk(resolvedFrom(file, target), [...trail, path]);
    }
    done.add(path);
  };
  for (const file of files) walk(file.path, []);
  return circles;
}
