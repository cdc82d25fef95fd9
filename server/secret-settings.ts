import { Fault } from '../shared/faults.ts';

/** Settings that are secrets, or may hold one: each may lie in a file of its own instead of in the environment. */
export const SECRET_KEYS: readonly string[] = [
  'STRIKEWELL_MQTT_PASSWORD',
  'STRIKEWELL_METRICS_TOKEN',
  'STRIKEWELL_PING_URL',
  'STRIKEWELL_WEBHOOK_URL',
  'STRIKEWELL_SMTP_URL',
];

/** Where secrets are read from. */
export type SecretFiles = {
  /** the text of a file that a setting names; throws Fault `bad-setting` */
  named(file: { readonly key: string; readonly path: string }): string;
  /** what the manager of services hands over under the name of a setting, or null */
  credential(key: string): string | null;
};

export const NO_FILES: SecretFiles = {
  named({ key }) {
    throw new Fault({ code: 'bad-setting', message: `${key} names a file, and none is read here.` });
  },
  credential: () => null,
};

type Given = Readonly<Record<string, string>>;

/**
 * The settings with each secret in the place of the file that holds it. What stands in the environment or in a config
 * file goes before a credential of the service.
 *
 * @param given settings by key, with `<key>_FILE` for those in files
 * @param files reads them; the end of the last line does not count
 * @returns settings by key
 * @throws Fault `bad-setting` where a secret is given both ways, or its file is empty or cannot be read
 */
export function withSecrets(given: Given, files: SecretFiles): Given {
  const settings: Record<string, string> = { ...given };
  for (const key of SECRET_KEYS) {
    const value = secretOf(key, given, files);
    delete settings[`${key}_FILE`];
    if (value !== null) settings[key] = value;
  }
  return settings;
}

function secretOf(key: string, given: Given, files: SecretFiles): string | null {
  const fileKey = `${key}_FILE`;
  const path = given[fileKey];
  if (path === undefined) return given[key] ?? textIn(files.credential(key));
  if (given[key] !== undefined) {
    const message = `${key} and ${fileKey} are both set: one of them would be ignored. Remove one.`;
    throw new Fault({ code: 'bad-setting', message, details: { key: fileKey } });
  }
  const text = textIn(files.named({ key: fileKey, path }));
  if (text !== '' && text !== null) return text;
  const message = `${fileKey} names the file "${path}", which is empty. Write the secret into it, or remove the key.`;
  throw new Fault({ code: 'bad-setting', message, details: { key: fileKey } });
}

/** Editors end a file with a line's end. */
function textIn(text: string | null): string | null {
  return text === null ? null : text.replace(/\r?\n$/, '');
}
