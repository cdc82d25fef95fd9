import {
  chmodSync,
  copyFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { basename, join } from 'node:path';

export const ARCHITECTURES = ['x64', 'arm64'] as const;
export type Architecture = (typeof ARCHITECTURES)[number];

/** What runs of a checkout, beside the built page and the packages. */
const SOURCES = ['server', 'shared', 'firmware-contracts', 'seeds'];
const PACKAGE_FILES = ['package.json', 'package-lock.json', '.npmrc'];
const FOR_READING = ['README.md', 'CHANGELOG.md', 'LICENSE'];
/** Of a package only its maker or a compiler reads these. */
const UNREAD = /\.(?:map|md|markdown|d\.[cm]?ts|flow)$/i;
/** What only compiling the database would need: its binaries come with it. */
const OF_COMPILING = ['deps', 'src', 'build', 'binding.gyp'];

/**
 * Lays the sources, the built page and the files of the packages into a folder, ready for npm to install there.
 *
 * @param root the checkout, its page built
 * @param tree the folder to make
 */
export function laySources(root: string, tree: string): void {
  const app = join(tree, 'app');
  mkdirSync(join(app, 'web'), { recursive: true });
  for (const folder of SOURCES) cpSync(join(root, folder), join(app, folder), { recursive: true });
  cpSync(join(root, 'web/dist'), join(app, 'web/dist'), { recursive: true, filter: isPublished });
  for (const name of PACKAGE_FILES) copyFileSync(join(root, name), join(app, name));
  for (const name of FOR_READING) copyFileSync(join(root, name), join(tree, name));
  const release = join(root, 'server/release');
  mkdirSync(join(tree, 'bin'));
  copyFileSync(join(release, 'strikewell'), join(tree, 'bin/strikewell'));
  chmodSync(join(tree, 'bin/strikewell'), 0o755);
}

/** A page that is being built lies in a folder beside those of the page that is served. */
function isPublished(path: string): boolean {
  return !basename(path).startsWith('.building-');
}

/**
 * Takes Node out of its package to where `bin/strikewell` expects it, and leaves out what no running program reads.
 *
 * @throws Error when the packages hold no Node or no database for that architecture
 */
export function settlePackages(tree: string, architecture: Architecture): void {
  const packages = join(tree, 'app/node_modules');
  const node = join(packages, `node-linux-${architecture}`);
  mkdirSync(join(tree, 'lib'));
  renameSync(join(node, 'bin/node'), join(tree, 'lib/node'));
  renameSync(join(node, 'LICENSE'), join(tree, 'lib/node.LICENSE'));
  for (const each of [...ARCHITECTURES.map((one) => `node-linux-${one}`), '.bin'])
    rmSync(join(packages, each), { recursive: true, force: true });
  keepOneDatabase(join(packages, 'better-sqlite3'), architecture);
  const files = readdirSync(packages, { recursive: true, withFileTypes: true });
  for (const file of files)
    if (file.isFile() && UNREAD.test(file.name)) rmSync(join(file.parentPath, file.name));
}

function keepOneDatabase(folder: string, architecture: Architecture): void {
  const ours = `linux-${architecture}.node`;
  if (!existsSync(join(folder, 'prebuilds', ours))) throw new Error(`better-sqlite3 brings no ${ours}`);
  for (const name of OF_COMPILING) rmSync(join(folder, name), { recursive: true, force: true });
  for (const name of readdirSync(join(folder, 'prebuilds')))
    if (name !== ours) rmSync(join(folder, 'prebuilds', name));
}

/** The scripts of a checkout would find nothing to run in a release. */
export function dropScripts(tree: string): void {
  const path = join(tree, 'app/package.json');
  const { scripts: _, devDependencies: __, ...kept } = JSON.parse(readFileSync(path, 'utf8'));
  writeFileSync(path, `${JSON.stringify(kept, null, 2)}\n`);
  for (const name of ['package-lock.json', '.npmrc']) rmSync(join(tree, 'app', name));
}
