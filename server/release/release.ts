import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  copyFileSync,
  cpSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import packageFile from '../../package.json' with { type: 'json' };
import { completionFor } from '../commands/about/completion.ts';
import { manualPage } from '../commands/about/manual.ts';
import { COMMANDS } from '../commands/list.ts';
import { SETTING_KEYS } from '../config.ts';
import { readyPage } from '../page.ts';
import { ARCHITECTURES, type Architecture, dropScripts, laySources, settlePackages } from './tree.ts';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const USAGE = `Usage: npm run release -- --out DIR [--arch ${ARCHITECTURES.join(' | ')}]`;

/** Makes the release: a tarball and a bill of materials for each architecture, their checksums, and what installs them. */
function release(): void {
  const { out, architectures } = asked();
  const complaint = readyPage();
  if (complaint !== null) giveUp(complaint);
  mkdirSync(out, { recursive: true });
  const made = architectures.flatMap((architecture) => packed(architecture, out));
  const sums = made.map((name) => `${sha256(join(out, name))}  ${name}\n`);
  writeFileSync(join(out, 'SHA256SUMS'), sums.join(''));
  for (const name of ['Containerfile', 'strikewell.service'])
    copyFileSync(join(ROOT, 'server/release', name), join(out, name));
}

function asked(): { out: string; architectures: readonly Architecture[] } {
  try {
    const options = { out: { type: 'string' }, arch: { type: 'string' } } as const;
    const { out, arch } = parseArgs({ options }).values;
    const architectures = ARCHITECTURES.filter((each) => arch === undefined || each === arch);
    if (out === undefined || out === '' || architectures.length === 0) return giveUp(USAGE);
    return { out: resolve(out), architectures };
  } catch (cause) {
    return giveUp(`${cause instanceof Error ? cause.message : String(cause)}\n${USAGE}`);
  }
}

/** @returns the names of what was made */
function packed(architecture: Architecture, out: string): string[] {
  const name = `strikewell-${packageFile.version}-linux-${architecture}`;
  const around = mkdtempSync(join(tmpdir(), 'strikewell-release-'));
  try {
    const tree = join(around, name);
    laySources(ROOT, tree);
    const app = join(tree, 'app');
    const here = ['--omit=dev', '--os=linux', `--cpu=${architecture}`, '--libc=glibc'];
    npm(['ci', '--prefer-offline', '--no-audit', '--ignore-scripts', ...here], app);
    const listed = ['sbom', '--sbom-format=cyclonedx', '--omit=dev', '--package-lock-only'];
    const materials = npm(listed, app);
    writeFileSync(join(tree, 'bill-of-materials.cdx.json'), materials);
    writeFileSync(join(out, `${name}.cdx.json`), materials);
    settlePackages(tree, architecture);
    dropScripts(tree);
    copyFileSync(join(ROOT, 'server/release/strikewell.service'), join(tree, 'strikewell.service'));
    cpSync(join(ROOT, 'server/release/examples'), join(tree, 'examples'), { recursive: true });
    writeShared(tree);
    pack({ around, name, out });
    const megabytes = (statSync(join(out, `${name}.tar.gz`)).size / 1e6).toFixed(1);
    process.stdout.write(`${name}.tar.gz  ${megabytes} MB\n`);
    return [`${name}.tar.gz`, `${name}.cdx.json`];
  } finally {
    rmSync(around, { recursive: true, force: true });
  }
}

/** The manual page and the completions, where a system looks for them. */
function writeShared(tree: string): void {
  const { version } = packageFile;
  const files = {
    'man/man1/strikewell.1': manualPage({ commands: COMMANDS, keys: SETTING_KEYS, version }),
    'bash-completion/completions/strikewell': completionFor('bash', COMMANDS),
    'zsh/site-functions/_strikewell': completionFor('zsh', COMMANDS),
    'fish/vendor_completions.d/strikewell.fish': completionFor('fish', COMMANDS),
  };
  for (const [name, text] of Object.entries(files)) {
    const path = join(tree, 'share', name);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, text);
  }
}

/** The npm that started this program, on the Node that runs it. */
function npm(args: readonly string[], cwd: string): string {
  const cli = process.env['npm_execpath'];
  const [program, before] = cli?.endsWith('.js') ? [process.execPath, [cli]] : ['npm', []];
  const env = { ...process.env, npm_config_update_notifier: 'false' };
  const options = { cwd, env, encoding: 'utf8', maxBuffer: 64 * 1024 ** 2 } as const;
  const ran = spawnSync(program, [...before, ...args], { ...options, stdio: ['ignore', 'pipe', 'inherit'] });
  if (ran.status !== 0) giveUp(`npm ${args[0]} failed.`);
  return ran.stdout;
}

/** The same tree gives the same bytes: sorted, of one owner and one time, and of files nobody writes to. */
function pack({ around, name, out }: { around: string; name: string; out: string }): void {
  const atS = process.env['SOURCE_DATE_EPOCH'] ?? committedS();
  const same = ['--sort=name', '--owner=0', '--group=0', '--numeric-owner', `--mtime=@${atS}`];
  const modes = '--mode=u=rwX,go=rX';
  const compress = ['--use-compress-program', 'gzip -6n'];
  const into = join(out, `${name}.tar.gz`);
  const args = ['--create', ...same, modes, ...compress, '--file', into, name];
  const ran = spawnSync('tar', args, { cwd: around, stdio: ['ignore', 'inherit', 'inherit'] });
  if (ran.status !== 0) giveUp('tar failed.');
}

function committedS(): string {
  const ran = spawnSync('git', ['log', '-1', '--format=%ct'], { cwd: ROOT, encoding: 'utf8' });
  return ran.status === 0 ? ran.stdout.trim() : '0';
}

function sha256(path: string): string {
  return createHash('sha256').update(readFileSync(path)).digest('hex');
}

function giveUp(why: string): never {
  process.stderr.write(`${why}\n`);
  process.exit(2);
}

release();
