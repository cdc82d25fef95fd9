import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { posix } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type ParseResult, parseSync, Visitor, type VisitorObject } from 'vite';

/** A file of the project: its path from the root, with `/`, and its text. */
export type SourceFile = { readonly path: string; readonly text: string };

export const ROOT = fileURLToPath(new URL('../..', import.meta.url));

const CODE = /\.(ts|tsx|js)$/;
const TEXT =
  /(\.(ts|tsx|js|json|md|css|html|svg|c|h|py|sql|webmanifest)|LICENSE|\.ci\/run|\.gitignore|\.npmrc)$/;
const parsed = new Map<SourceFile, ParseResult>();

/**
 * Paths of all files that are committed or would be: what git does not ignore.
 *
 * @returns paths from the root
 */
export function projectPaths(): string[] {
  // A checkout may belong to another user than the one who runs the tests.
  const args = ['-c', 'safe.directory=*', 'ls-files', '-co', '--exclude-standard', '-z'];
  const listed = execFileSync(process.env['STRIKEWELL_TEST_GIT'] ?? 'git', args, {
    cwd: ROOT,
    encoding: 'utf8',
  });
  return listed.split('\0').filter((path) => path !== '' && existsSync(ROOT + path));
}

/**
 * Every text file of the project, but for the open data, which is not our writing.
 *
 * @returns the files
 */
export function textFiles(): SourceFile[] {
  return readAll(projectPaths().filter((path) => TEXT.test(path) && !path.startsWith('tests/open-data/')));
}

/**
 * Every TypeScript and JavaScript file of the project.
 *
 * @returns the files
 */
export function codeFiles(): SourceFile[] {
  return readAll(projectPaths().filter((path) => CODE.test(path)));
}

function readAll(paths: readonly string[]): SourceFile[] {
  return paths.map((path) => ({ path, text: readFileSync(ROOT + path, 'utf8') }));
}

/**
 * Calls back for the syntax nodes of a file.
 *
 * @param file TypeScript or JavaScript
 * @param visitor what to call for which node
 */
export function visit(file: SourceFile, visitor: VisitorObject): void {
  new Visitor(visitor).visit(parse(file).program);
}

/**
 * What a file imports and exports, by name.
 *
 * @param file TypeScript or JavaScript
 * @returns its module record
 */
export function moduleOf(file: SourceFile): ParseResult['module'] {
  return parse(file).module;
}

/**
 * The path a relative import leads to.
 *
 * @param file the importing file
 * @param target what stands between the quotes
 * @returns its path from the root; what is not relative as it is
 */
export function resolvedFrom(file: SourceFile, target: string): string {
  const [plain = ''] = target.split('?');
  return plain.startsWith('.') ? posix.normalize(posix.join(posix.dirname(file.path), plain)) : plain;
}

/**
 * The comments of a file.
 *
 * @param file TypeScript or JavaScript
 * @returns what stands in each
 */
export function commentsOf(file: SourceFile): string[] {
  return parse(file).comments.map((comment) => comment.value);
}

function parse(file: SourceFile): ParseResult {
  const known = parsed.get(file);
  if (known !== undefined) return known;
  const result = parseSync(file.path, file.text);
  const [error] = result.errors;
  if (error !== undefined) throw new Error(`${file.path} cannot be read: ${error.message}`);
  parsed.set(file, result);
  return result;
}

/**
 * Where in a file an offset lies, for a person to jump to.
 *
 * @param file the file
 * @param offset characters from its start
 * @returns path and line
 */
export function placeOf(file: SourceFile, offset: number): string {
  return `${file.path}:${lineOf(file, offset)}`;
}

/**
 * The line an offset lies on.
 *
 * @param file the file
 * @param offset characters from its start
 * @returns its number, from 1
 */
export function lineOf(file: SourceFile, offset: number): number {
  return file.text.slice(0, offset).split('\n').length;
}
