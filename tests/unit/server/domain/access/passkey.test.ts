import { expect, test } from 'vitest';
import { mayPinHttps, passkeySite } from '../../../../../server/domain/access/passkey.ts';

const PUBLIC = 'https://bench.example.org:8340/';

test.each([
  ['localhost:8340', false, null, { host: 'localhost', origin: 'http://localhost:8340' }],
  ['localhost:8340', false, PUBLIC, { host: 'localhost', origin: 'http://localhost:8340' }],
  [
    'bench.example.org:8340',
    true,
    null,
    { host: 'bench.example.org', origin: 'https://bench.example.org:8340' },
  ],
  [
    'bench.example.org:8340',
    true,
    PUBLIC,
    { host: 'bench.example.org', origin: 'https://bench.example.org:8340' },
  ],
  ['bench.example.org:443', true, null, { host: 'bench.example.org', origin: 'https://bench.example.org' }],
  ['other.example.org', true, PUBLIC, null],
  ['bench.example.org', false, null, null],
  ['127.0.0.1:8340', false, null, null],
  ['192.0.2.7', true, null, null],
  ['[::1]:8340', true, null, null],
  ['user@bench.example.org', true, null, null],
  ['bench.example.org/x', true, null, null],
  [undefined, true, null, null],
])(
  'a passkey at %s, encrypted %s, with the public address %s, belongs to %j',
  (host, encrypted, publicUrl, site) => {
    expect(passkeySite({ host, encrypted, publicUrl })).toEqual(site);
  },
);

test.each([
  ['bench.example.org', true, true],
  ['bench.example.org:8340', true, true],
  ['bench.example.org', false, false],
  ['localhost:8340', true, false],
  ['a.localhost', true, false],
  ['127.0.0.1', true, false],
  ['192.0.2.7:8340', true, false],
  ['[2001:db8::1]', true, false],
  [undefined, true, false],
])('https is pinned at %s, encrypted %s: %s', (host, encrypted, pinned) => {
  expect(mayPinHttps({ host, encrypted })).toBe(pinned);
});
