import { expect, test } from 'vitest';
import { readSettings } from '../../../server/config.ts';
import type { SecretFiles } from '../../../server/secret-settings.ts';

const files: SecretFiles = {
  named: ({ path }) => ({ '/run/url': 'smtp://u:p@mail.example\n', '/run/empty': '\n' })[path] ?? '',
  credential: (key) => (key === 'STRIKEWELL_METRICS_TOKEN' ? 'credential-of-21-chars\n' : null),
};

test('a secret is read from the file that its key with _FILE names, without the end of its line', () => {
  const given = { STRIKEWELL_SMTP_URL_FILE: '/run/url', STRIKEWELL_MAIL_FROM: 'a@b.example' };
  expect(readSettings(given, null, files).mail?.url).toBe('smtp://u:p@mail.example');
});

test('a credential of the service counts where neither environment nor config file gives the secret', () => {
  expect(readSettings({}, null, files).metricsToken).toBe('credential-of-21-chars');
  const own = { STRIKEWELL_METRICS_TOKEN: 'token-of-the-environment' };
  expect(readSettings(own, null, files).metricsToken).toBe('token-of-the-environment');
});

test.each([
  [{ STRIKEWELL_SMTP_URL: 'smtp://a', STRIKEWELL_SMTP_URL_FILE: '/run/url' }, 'both set'],
  [{ STRIKEWELL_SMTP_URL_FILE: '/run/empty' }, 'which is empty'],
  [{ STRIKEWELL_HOST_FILE: '/run/url' }, 'Unknown setting STRIKEWELL_HOST_FILE'],
])('%o is refused: %s', (given, why) => {
  expect(() => readSettings(given, null, files)).toThrow(why);
});
