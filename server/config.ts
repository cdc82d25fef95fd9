import { z } from 'zod';
import { Fault } from '../shared/faults.ts';
import { isTimeZone } from './domain/calendar/days.ts';
import { LEAST_RAW_DAYS } from './domain/disk-space/horizon.ts';
import { NO_FILES, SECRET_KEYS, type SecretFiles, withSecrets } from './secret-settings.ts';

const PREFIX = 'STRIKEWELL_';

const port = z
  .string()
  .regex(/^\d{1,5}$/, 'expected a port number from 1 to 65535')
  .transform(Number)
  .refine((n) => n >= 1 && n <= 65_535, 'expected a port number from 1 to 65535');

const urlOf = (protocols: readonly string[]) =>
  z.string().refine((text) => URL.canParse(text) && protocols.includes(new URL(text).protocol), {
    message: `expected an address beginning with ${protocols.map((p) => `${p}//`).join(' or ')}`,
  });

const address = z.union([z.ipv4(), z.ipv6(), z.literal('localhost')], {
  error: 'expected an address of this machine such as 127.0.0.1 or 0.0.0.0',
});

const addresses = z
  .string()
  .transform((text) => text.split(',').map((one) => one.trim()))
  .pipe(z.array(z.union([z.ipv4(), z.ipv6()], { error: 'expected addresses, with commas between' })));

/** As browsers write them: no path, no port where it is the usual one. */
const origins = z
  .string()
  .transform((text) => text.split(',').map((one) => one.trim()))
  .pipe(
    z.array(
      z.string().refine((text) => URL.canParse(text) && new URL(text).origin === text, {
        message: 'expected origins such as https://notes.example.org, with commas between',
      }),
    ),
  );

const schema = z.strictObject({
  STRIKEWELL_DATA_DIR: z.string().min(1, 'expected a folder').default('./data'),
  STRIKEWELL_HOST: address.default('127.0.0.1'),
  STRIKEWELL_HTTP_PORT: port.default(8340),
  STRIKEWELL_MQTT_PORT: z
    .union([z.literal('off'), port], 'expected a port number from 1 to 65535, or off')
    .default(1883),
  STRIKEWELL_MQTTS_PORT: z
    .union([z.literal('off'), port], 'expected a port number from 1 to 65535, or off')
    .default(8883),
  STRIKEWELL_MQTT_URL: urlOf(['mqtt:', 'mqtts:']).optional(),
  STRIKEWELL_MQTT_VERSION: z.enum(['3.1.1', '5'], 'expected 3.1.1 or 5').default('5'),
  STRIKEWELL_MQTT_USERNAME: z.string().optional(),
  STRIKEWELL_MQTT_PASSWORD: z.string().optional(),
  STRIKEWELL_MQTT_CA_FILE: z.string().optional(),
  STRIKEWELL_TLS_CERT: z.string().min(1, 'expected a file').optional(),
  STRIKEWELL_TLS_KEY: z.string().min(1, 'expected a file').optional(),
  STRIKEWELL_TRUSTED_PROXY: addresses.default([]),
  STRIKEWELL_TIME_ZONE: z
    .string()
    .refine(isTimeZone, 'expected an IANA time zone such as Europe/Berlin')
    .default(() => new Intl.DateTimeFormat().resolvedOptions().timeZone),
  STRIKEWELL_METRICS_TOKEN: z
    .string()
    .regex(/^[\x21-\x7e]{16,200}$/, 'expected 16 to 200 characters without spaces')
    .optional(),
  STRIKEWELL_CORS_ORIGINS: origins.default([]),
  STRIKEWELL_PING_URL: urlOf(['http:', 'https:']).optional(),
  STRIKEWELL_WEBHOOK_URL: urlOf(['http:', 'https:'])
    .refine((text) => !URL.canParse(text) || new URL(text).username === '', {
      message: 'expected an address without a user and password: they could not be sent',
    })
    .optional(),
  STRIKEWELL_SMTP_URL: urlOf(['smtp:', 'smtps:']).optional(),
  STRIKEWELL_MAIL_FROM: z
    .string()
    .regex(/^[^\s@<>]+@[^\s@<>]+$/, 'expected an e-mail address')
    .optional(),
  STRIKEWELL_PUBLIC_URL: urlOf(['http:', 'https:']).optional(),
  STRIKEWELL_BACKUP_AT: z
    .string()
    .regex(/^(off|([01]\d|2[0-3]):[0-5]\d)$/, 'expected a time of day such as 03:30, or off')
    .default('03:30'),
  STRIKEWELL_LOG_LEVEL: z.enum(['info', 'warn', 'error'], 'expected info, warn or error').default('info'),
  STRIKEWELL_KEEP_RAW_DAYS: z
    .string()
    .regex(/^\d{1,5}$/, `expected whole days, at least ${LEAST_RAW_DAYS}`)
    .transform(Number)
    .refine((days) => days >= LEAST_RAW_DAYS, `expected whole days, at least ${LEAST_RAW_DAYS}`)
    .optional(),
});

/** The key of every setting; a secret may stand in a file too, named under the second key. */
export const SETTING_KEYS: readonly string[] = [
  ...Object.keys(schema.shape),
  ...SECRET_KEYS.map((key) => `${key}_FILE`),
];

/** Settings of the daemon, frozen at its start. */
export type Settings = Readonly<{
  dataDir: string;
  host: string;
  httpPort: number;
  /** of the embedded broker, unencrypted; null for none */
  mqttPort: number | null;
  /** of the embedded broker encrypted, once there is a certificate; null for none */
  mqttsPort: number | null;
  outsideBroker: Readonly<{
    url: string;
    protocolVersion: 4 | 5;
    username: string | null;
    password: string | null;
    caFile: string | null;
  }> | null;
  /** files of the certificate and its key, PEM, or null for plain http */
  tls: Readonly<{ certFile: string; keyFile: string }> | null;
  /** addresses of proxies whose word on who asks is taken */
  trustedProxies: readonly string[];
  timeZone: string;
  webhookUrl: string | null;
  /** what a program that collects metrics shows in place of a sign-in, or null for none */
  metricsToken: string | null;
  /** pages elsewhere whose scripts may read the interface */
  readingOrigins: readonly string[];
  /** requested once a minute while all is well, or null */
  pingUrl: string | null;
  /** the mail server and who messages are from, or null when no e-mail is sent */
  mail: Readonly<{ url: string; from: string }> | null;
  /** where others than this machine reach the page, for links in messages */
  publicUrl: string | null;
  /** time of day of the daily backup, "HH:MM", or null for none */
  backupAt: string | null;
  /** whole days for which readings are kept, or null for ever */
  keepRawDays: number | null;
  /** the least that is written to the log */
  logLevel: 'info' | 'warn' | 'error';
  /** where the manager of services hears that the watch goes on, a socket in systemd's sense, or null where none asks */
  notifySocket: string | null;
  /** whether the log goes to the journal of systemd */
  underJournal: boolean;
}>;

/**
 * Reads the settings from the environment over those of a config file.
 * @param environment all of it; only keys that begin with STRIKEWELL_ count
 * @param file the parsed config file, or null when there is none
 * @param files reads secrets that lie in files of their own; none are read unless given
 * @throws Fault `unknown-setting` or `bad-setting` naming key, value, what was expected and the remedy
 */
export function readSettings(
  environment: Readonly<Record<string, string | undefined>>,
  file: unknown,
  files: SecretFiles = NO_FILES,
): Settings {
  const given = withSecrets({ ...fromFile(file), ...fromEnvironment(environment) }, files);
  const parsed = schema.safeParse(given);
  if (!parsed.success) throw settingFault(parsed.error.issues, given);
  const s = parsed.data;
  requireOnePort(s);
  const outsideBroker =
    s.STRIKEWELL_MQTT_URL === undefined
      ? null
      : {
          url: s.STRIKEWELL_MQTT_URL,
          protocolVersion: s.STRIKEWELL_MQTT_VERSION === '5' ? (5 as const) : (4 as const),
          username: s.STRIKEWELL_MQTT_USERNAME ?? null,
          password: s.STRIKEWELL_MQTT_PASSWORD ?? null,
          caFile: s.STRIKEWELL_MQTT_CA_FILE ?? null,
        };
  return Object.freeze({
    dataDir: s.STRIKEWELL_DATA_DIR,
    host: s.STRIKEWELL_HOST,
    httpPort: s.STRIKEWELL_HTTP_PORT,
    mqttPort: s.STRIKEWELL_MQTT_PORT === 'off' ? null : s.STRIKEWELL_MQTT_PORT,
    mqttsPort: s.STRIKEWELL_MQTTS_PORT === 'off' ? null : s.STRIKEWELL_MQTTS_PORT,
    outsideBroker,
    tls: tlsOf({ certFile: s.STRIKEWELL_TLS_CERT, keyFile: s.STRIKEWELL_TLS_KEY }),
    trustedProxies: s.STRIKEWELL_TRUSTED_PROXY,
    timeZone: s.STRIKEWELL_TIME_ZONE,
    webhookUrl: s.STRIKEWELL_WEBHOOK_URL ?? null,
    metricsToken: s.STRIKEWELL_METRICS_TOKEN ?? null,
    readingOrigins: s.STRIKEWELL_CORS_ORIGINS,
    pingUrl: s.STRIKEWELL_PING_URL ?? null,
    mail: mailOf(s.STRIKEWELL_SMTP_URL, s.STRIKEWELL_MAIL_FROM),
    publicUrl: s.STRIKEWELL_PUBLIC_URL ?? null,
    backupAt: s.STRIKEWELL_BACKUP_AT === 'off' ? null : s.STRIKEWELL_BACKUP_AT,
    keepRawDays: s.STRIKEWELL_KEEP_RAW_DAYS ?? null,
    logLevel: s.STRIKEWELL_LOG_LEVEL,
    notifySocket: environment['NOTIFY_SOCKET'] ?? null,
    underJournal: environment['JOURNAL_STREAM'] !== undefined,
  });
}

/** Without its plain port the embedded broker must have an encrypted one, or no device could reach it. */
function requireOnePort(s: z.infer<typeof schema>): void {
  if (s.STRIKEWELL_MQTT_PORT !== 'off' || s.STRIKEWELL_MQTT_URL !== undefined) return;
  const key = 'STRIKEWELL_MQTT_PORT';
  const isEncrypted = s.STRIKEWELL_TLS_CERT !== undefined && s.STRIKEWELL_TLS_KEY !== undefined;
  if (isEncrypted && s.STRIKEWELL_MQTTS_PORT !== 'off') return;
  const missing = isEncrypted
    ? 'STRIKEWELL_MQTTS_PORT is off as well. Give one of the two a port.'
    : 'there is no encrypted one. Set STRIKEWELL_TLS_CERT and STRIKEWELL_TLS_KEY, or give it a port.';
  const message = `${key} is "off", which closes the plain port of the broker, but ${missing}`;
  throw new Fault({ code: 'bad-setting', message, details: { key } });
}

function tlsOf({ certFile, keyFile }: { certFile: string | undefined; keyFile: string | undefined }) {
  if (certFile !== undefined && keyFile !== undefined) return { certFile, keyFile };
  if (certFile === undefined && keyFile === undefined) return null;
  const key = certFile === undefined ? 'STRIKEWELL_TLS_CERT' : 'STRIKEWELL_TLS_KEY';
  const message = `${key} is missing: a certificate is of use only with its key. Set both, or neither.`;
  throw new Fault({ code: 'bad-setting', message, details: { key } });
}

/**
 * The settings that this version does not know, and the rest: what a newer version was given does not stop an older one
 * that was asked to start all the same.
 *
 * @param given a config file, or the environment
 * @returns keys that begin with STRIKEWELL_ and are unknown, and what is left without them
 */
export function withoutUnknown<T>(given: Readonly<Record<string, T>>): {
  readonly unknown: readonly string[];
  readonly known: Readonly<Record<string, T>>;
} {
  const isUnknown = (key: string) => key.startsWith(PREFIX) && !SETTING_KEYS.includes(key);
  return {
    unknown: Object.keys(given).filter(isUnknown),
    known: Object.fromEntries(Object.entries(given).filter(([key]) => !isUnknown(key))),
  };
}

function mailOf(url: string | undefined, from: string | undefined): Settings['mail'] {
  if (url === undefined) return null;
  if (from !== undefined) return { url, from };
  const key = 'STRIKEWELL_MAIL_FROM';
  const message = `${key} is missing: mail servers ask who a message is from. Set it to an e-mail address.`;
  throw new Fault({ code: 'bad-setting', message, details: { key } });
}

function fromEnvironment(environment: Readonly<Record<string, string | undefined>>): Record<string, string> {
  const ours = Object.entries(environment).filter(
    ([key, value]) => key.startsWith(PREFIX) && value !== undefined,
  );
  return Object.fromEntries(ours) as Record<string, string>;
}

/** A config file may give numbers for numbers; it holds the same keys. */
function fromFile(file: unknown): Record<string, string> {
  if (file === null) return {};
  const table = z.record(z.string(), z.unknown()).safeParse(file);
  if (!table.success) {
    const message = 'The config file must be one JSON object of STRIKEWELL_… keys with text or numbers.';
    throw new Fault({ code: 'bad-setting', message });
  }
  return Object.fromEntries(Object.entries(table.data).map(([key, value]) => [key, textOf(key, value)]));
}

function textOf(key: string, value: unknown): string {
  if (typeof value === 'string' || typeof value === 'number') return String(value);
  const shown = isSecret(key) ? '(not shown)' : JSON.stringify(value);
  const message = `${key} is ${shown} in the config file: expected a text or a number. Correct the value or remove the key.`;
  throw new Fault({ code: 'bad-setting', message, details: { key } });
}

function isSecret(key: string): boolean {
  return /PASSWORD|TOKEN|URL/.test(key);
}

function settingFault(issues: readonly z.core.$ZodIssue[], given: Readonly<Record<string, string>>): Fault {
  const issue = issues[0];
  if (issue?.code === 'unrecognized_keys') {
    const key = issue.keys[0] ?? '';
    const known = SETTING_KEYS.join(', ');
    const message =
      `Unknown setting ${key}; nothing reads it. Known are ${known}. Correct or remove it; ` +
      'or, if a newer version was given it, start with --allow-unknown-settings.';
    return new Fault({ code: 'unknown-setting', message, details: { key } });
  }
  const key = String(issue?.path[0] ?? '');
  const value = isSecret(key) ? '(not shown)' : (given[key] ?? '');
  const message = `${key} is "${value}": ${issue?.message ?? 'it cannot be that'}. Correct the value or remove the key.`;
  return new Fault({ code: 'bad-setting', message, details: { key } });
}
