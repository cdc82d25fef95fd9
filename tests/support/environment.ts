const TOOL_SETTINGS = {
  chromium: 'STRIKEWELL_TEST_CHROMIUM',
  mosquitto: 'STRIKEWELL_TEST_MOSQUITTO',
  mosquittoPasswd: 'STRIKEWELL_TEST_MOSQUITTO_PASSWD',
  mosquittoPub: 'STRIKEWELL_TEST_MOSQUITTO_PUB',
  openssl: 'STRIKEWELL_TEST_OPENSSL',
  cc: 'STRIKEWELL_TEST_CC',
  python: 'STRIKEWELL_TEST_PYTHON',
  faketime: 'STRIKEWELL_TEST_FAKETIME',
  systemdNotify: 'STRIKEWELL_TEST_SYSTEMD_NOTIFY',
  systemdAnalyze: 'STRIKEWELL_TEST_SYSTEMD_ANALYZE',
} as const;

export type Tool = keyof typeof TOOL_SETTINGS;

/**
 * The file of a program the tests drive, as the runner found it.
 *
 * @param tool which program
 * @returns its path
 * @throws Error when the tests were not started through the runner
 */
export function toolPath(tool: Tool): string {
  const setting = TOOL_SETTINGS[tool];
  const path = process.env[setting];
  if (path === undefined) throw new Error(`${setting} is not set: run the tests as npm test -- <file>`);
  return path;
}

/**
 * The environment a user would have: nothing of ours, of the test runner's or of npm's own workings.
 *
 * @param additions what to set on top
 * @returns the environment for a child process
 */
export function plainEnvironment(additions: Readonly<Record<string, string>> = {}): Record<string, string> {
  const ours = /^(STRIKEWELL_|VITEST|TEST$|PROD$|DEV$|MODE$|SSR$|BASE_URL$|NODE_ENV$|NODE_OPTIONS$)/;
  const npms =
    /^(npm_(lifecycle|package|command|execpath|node_execpath|config_local_prefix)|INIT_CWD$|NODE$)/;
  const kept = Object.entries(process.env).filter(
    (entry): entry is [string, string] =>
      entry[1] !== undefined && !ours.test(entry[0]) && !npms.test(entry[0]),
  );
  return { ...Object.fromEntries(kept), ...additions };
}

/**
 * PATH as it was before npm put the project's own programs first.
 *
 * @returns the folders, separated as in PATH
 */
export function machinePath(): string {
  const folders = (process.env['PATH'] ?? '').split(':');
  return folders.filter((folder) => !folder.includes('node_modules')).join(':');
}
