/** One row of the import table: what the files of a room may import besides the room itself. */
export type Row = {
  /** a folder ending in `/`, or one file */
  readonly room: string;
  readonly rooms: readonly string[];
  readonly packages: readonly string[];
  /** node's own modules: all but the clocks, or these */
  readonly builtins: 'all' | readonly string[];
};

/** The one outside library each adapter wraps; node's own modules are no outside library. */
const ADAPTER_LIBRARY = {
  mqtt: ['mqtt'],
  broker: ['aedes'],
  // rows of a file that somebody hands over are checked by schemas
  sqlite: ['better-sqlite3', 'zod'],
  http: ['express', 'helmet', 'compression', 'zod'],
  live: ['ws'],
  notify: [],
  smtp: ['nodemailer'],
  pdf: ['pdfkit'],
  push: ['web-push'],
  metrics: ['prom-client'],
  parquet: ['hyparquet', 'hyparquet-writer'],
  passwords: ['@zxcvbn-ts/language-common'],
  webauthn: ['@simplewebauthn/server'],
  system: ['pino'],
} as const;

/** What each room of the daemon may import of the others; there is no circle among them. `daemon.ts` stands above them. */
const DAEMON_ROOMS: Readonly<Record<string, readonly string[]>> = {
  world: [],
  access: [],
  admission: ['world'],
  // the history of its alarms is made of its record as a trial of the past is
  demo: ['world', 'readout'],
  devices: ['access', 'world'],
  notify: ['world'],
  guard: ['notify', 'world'],
  clock: ['notify', 'world'],
  emergency: ['notify'],
  upkeep: ['notify', 'world', 'guard'],
  readout: ['world'],
  forecast: ['world', 'readout'],
  advice: ['world', 'readout'],
  publish: ['clock', 'emergency', 'world', 'guard', 'readout'],
  evaluate: ['world', 'readout', 'forecast', 'notify', 'clock', 'guard', 'emergency', 'publish'],
  intake: ['world', 'admission', 'guard', 'notify', 'clock', 'evaluate'],
  services: ['notify', 'world', 'admission', 'readout', 'intake'],
  batches: ['world', 'readout', 'services'],
  diary: ['world', 'readout', 'services', 'batches'],
  morning: ['world', 'readout', 'batches'],
  lifecycle: ['world', 'services', 'readout', 'intake', 'admission'],
};
const DAEMON_LIBRARIES = ['shared/', 'firmware-contracts/', 'seeds/', 'server/domain/', 'server/ports.ts'];

/** `seeds/` is data without code: whoever needs it may read it. */
const ANY_SERVER_ROOM = ['server/', 'shared/', 'firmware-contracts/', 'seeds/', 'package.json'];

/** The first row whose room holds a file counts. */
export const IMPORT_TABLE: readonly Row[] = [
  {
    room: 'shared/climate/',
    rooms: ['shared/quantities.ts', 'shared/model/lamp.ts'],
    packages: [],
    builtins: [],
  },
  { room: 'shared/exposure/', rooms: [], packages: [], builtins: [] },
  { room: 'shared/harm/', rooms: ['shared/exposure/'], packages: [], builtins: [] },
  { room: 'shared/statistics/', rooms: [], packages: [], builtins: [] },
  { room: 'shared/', rooms: [], packages: ['zod'], builtins: [] },
  {
    room: 'firmware-contracts/generate.ts',
    rooms: ['firmware-contracts/', 'shared/'],
    packages: ['zod'],
    builtins: ['node:fs'],
  },
  { room: 'firmware-contracts/', rooms: ['shared/'], packages: ['zod'], builtins: [] },
  {
    room: 'server/domain/calendar/',
    rooms: ['server/domain/', 'shared/', 'firmware-contracts/', 'seeds/'],
    packages: ['luxon', 'suncalc'],
    builtins: [],
  },
  { room: 'server/domain/', rooms: ['shared/', 'firmware-contracts/', 'seeds/'], packages: [], builtins: [] },
  ...['server/ports.ts', 'server/ports/'].map(
    (room): Row => ({
      room,
      rooms: ['shared/', 'server/domain/', 'server/ports/'],
      packages: [],
      builtins: [],
    }),
  ),
  ...Object.entries(ADAPTER_LIBRARY).map(
    ([adapter, packages]): Row => ({
      room: `server/adapters/${adapter}/`,
      rooms: ['shared/', 'firmware-contracts/', 'server/domain/', 'server/ports.ts'],
      packages,
      builtins: 'all',
    }),
  ),
  // An adapter that is not in the list above may import nothing until its library stands there.
  { room: 'server/adapters/', rooms: [], packages: [], builtins: [] },
  {
    room: 'server/config.ts',
    rooms: ['shared/', 'server/domain/', 'server/ports.ts', 'server/secret-settings.ts'],
    packages: ['zod'],
    builtins: [],
  },
  ...Object.entries(DAEMON_ROOMS).map(
    ([room, others]): Row => ({
      room: `server/daemon/${room}/`,
      rooms: [...others.map((other) => `server/daemon/${other}/`), ...DAEMON_LIBRARIES],
      packages: [],
      builtins: [],
    }),
  ),
  // daemon.ts and what ties the rooms together beside it
  {
    room: 'server/daemon/',
    rooms: DAEMON_LIBRARIES,
    packages: [],
    builtins: [],
  },
  { room: 'server/', rooms: ANY_SERVER_ROOM, packages: [], builtins: 'all' },
  { room: 'web/write-addresses.ts', rooms: ['shared/'], packages: [], builtins: ['node:fs'] },
  { room: 'web/vite.config.ts', rooms: [], packages: ['vite'], builtins: 'all' },
  {
    room: 'web/charts/',
    rooms: ['web/', 'shared/'],
    packages: ['preact', '@preact/signals', 'chart.js', 'chartjs-plugin-annotation'],
    builtins: [],
  },
  {
    room: 'web/',
    rooms: ['shared/'],
    packages: ['preact', '@preact/signals', '@simplewebauthn/browser'],
    builtins: [],
  },
];

/** Modules of node that read a clock: only the system adapter may. */
export const CLOCK_MODULES: readonly string[] = ['node:timers', 'node:timers/promises', 'node:perf_hooks'];
export const CLOCK_ROOM = 'server/adapters/system/';
