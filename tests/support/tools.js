import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';

/** The programs the tests drive, the names they go by, and the Debian package that brings each. */
const TOOLS = [
  {
    setting: 'STRIKEWELL_TEST_CHROMIUM',
    names: ['chromium', 'chromium-browser', 'google-chrome'],
    package: 'chromium',
    probe: ['--version'],
  },
  { setting: 'STRIKEWELL_TEST_MOSQUITTO', names: ['mosquitto'], package: 'mosquitto' },
  { setting: 'STRIKEWELL_TEST_MOSQUITTO_PASSWD', names: ['mosquitto_passwd'], package: 'mosquitto' },
  { setting: 'STRIKEWELL_TEST_MOSQUITTO_PUB', names: ['mosquitto_pub'], package: 'mosquitto-clients' },
  { setting: 'STRIKEWELL_TEST_OPENSSL', names: ['openssl'], package: 'openssl' },
  { setting: 'STRIKEWELL_TEST_GIT', names: ['git'], package: 'git' },
  { setting: 'STRIKEWELL_TEST_CC', names: ['gcc'], package: 'gcc' },
  { setting: 'STRIKEWELL_TEST_PYTHON', names: ['python3'], package: 'python3', probe: ['--version'] },
  { setting: 'STRIKEWELL_TEST_SYSTEMD_NOTIFY', names: ['systemd-notify'], package: 'systemd' },
  { setting: 'STRIKEWELL_TEST_SYSTEMD_ANALYZE', names: ['systemd-analyze'], package: 'systemd' },
  header({ setting: 'STRIKEWELL_TEST_LIBC_HEADER', name: 'stdio.h', package: 'libc6-dev' }),
  {
    setting: 'STRIKEWELL_TEST_FAKETIME',
    names: ['libfaketimeMT.so.1'],
    package: 'libfaketime',
    folders: ['x86_64', 'aarch64'].map((machine) => `/usr/lib/${machine}-linux-gnu/faketime`),
  },
  header({ setting: 'STRIKEWELL_TEST_MOSQUITTO_HEADER', name: 'mosquitto.h', package: 'libmosquitto-dev' }),
];

/** A C header stands for the development package it belongs to. */
function header({ setting, name, package: debian }) {
  return { setting, names: [name], package: debian, folders: ['/usr/include', '/usr/local/include'] };
}

/** Finds every tool, installing Debian's packages where it may; throws with the line that says what to install. */
export function readyTools() {
  let missing = TOOLS.filter((tool) => find(tool) === null);
  if (missing.length > 0 && install(packagesOf(missing)))
    missing = TOOLS.filter((tool) => find(tool) === null);
  if (missing.length > 0) {
    const names = missing.map((tool) => tool.names[0]).join(', ');
    throw new Error(
      `the tests need ${names}, not found here: apt-get install ${packagesOf(missing).join(' ')}` +
        ` (or name each program's file in ${missing.map((tool) => tool.setting).join(', ')})`,
    );
  }
  return Object.fromEntries(TOOLS.map((tool) => [tool.setting, find(tool)]));
}

function packagesOf(tools) {
  return [...new Set(tools.map((tool) => tool.package))];
}

/** Debian keeps mosquitto in an sbin folder, which is not on every user's PATH. */
function find(tool) {
  const chosen = process.env[tool.setting];
  if (chosen) return works(chosen, tool) ? chosen : null;
  const folders = tool.folders ?? [...(process.env.PATH ?? '').split(':'), '/usr/sbin', '/usr/local/sbin'];
  const candidates = tool.names.flatMap((name) => folders.map((folder) => join(folder, name)));
  return candidates.find((path) => works(path, tool)) ?? null;
}

/** A distribution may ship a stub that only says what to install: running it tells. */
function works(path, tool) {
  if (!existsSync(path)) return false;
  return tool.probe === undefined || spawnSync(path, tool.probe, { stdio: 'ignore' }).status === 0;
}

function install(packages) {
  if (spawnSync('apt-get', ['--version'], { stdio: 'ignore' }).status !== 0) return false;
  const asRoot = process.getuid?.() === 0 ? [] : ['sudo', '-n'];
  if (asRoot.length > 0 && spawnSync('sudo', ['-n', 'true'], { stdio: 'ignore' }).status !== 0) return false;
  console.error(`installing what the tests need: ${packages.join(' ')}`);
  const aptGet = [...asRoot, 'env', 'DEBIAN_FRONTEND=noninteractive', 'apt-get'];
  const steps = [['update'], ['install', '-y', '--no-install-recommends', ...packages]];
  return steps.every(
    (step) => spawnSync(aptGet[0], [...aptGet.slice(1), ...step], { stdio: ['ignore', 2, 2] }).status === 0,
  );
}
