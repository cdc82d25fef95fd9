import { describe, expect, test } from 'vitest';
import { addressGroup, clientAddress, isLoopback } from '../../../../../server/domain/access/address.ts';

// Addresses of documentation: 192.0.2.0/24, 198.51.100.0/24, 203.0.113.0/24 (RFC 5737), 2001:db8::/32 (RFC 3849).
const PROXY = '192.0.2.1';

describe('a forwarded address', () => {
  test('is not believed from a connection that is no trusted proxy', () => {
    const asked = { remote: '203.0.113.9', forwardedFor: '198.51.100.7', trusted: [PROXY] };
    expect(clientAddress(asked)).toBe('203.0.113.9');
    expect(clientAddress({ ...asked, remote: PROXY, trusted: [] })).toBe(PROXY);
  });

  test('behind a trusted proxy is the last it added: what stands before, the outsider wrote', () => {
    const forwardedFor = '127.0.0.1, 198.51.100.7';
    expect(clientAddress({ remote: PROXY, forwardedFor, trusted: [PROXY] })).toBe('198.51.100.7');
  });

  test('behind 2 trusted proxies is the last that is neither; without the header it is the proxy', () => {
    const trusted = [PROXY, '192.0.2.2'];
    const forwardedFor = '198.51.100.7,192.0.2.2';
    expect(clientAddress({ remote: `::ffff:${PROXY}`, forwardedFor, trusted })).toBe('198.51.100.7');
    expect(clientAddress({ remote: PROXY, forwardedFor: undefined, trusted })).toBe(PROXY);
  });
});

test('2 addresses of one IPv6 /64 share their attempts, those of another do not; IPv4 counts alone', () => {
  // RFC 4291 section 2.2: "::" stands for as many zero groups as are missing of 8
  expect(addressGroup('2001:db8::1')).toBe(addressGroup('2001:db8:0:0:ffff:1:2:3'));
  expect(addressGroup('2001:db8:0:1::1')).not.toBe(addressGroup('2001:db8::1'));
  expect(addressGroup('2001:0db8::9')).toBe(addressGroup('2001:db8::9'));
  expect(addressGroup('::ffff:192.0.2.1')).toBe('192.0.2.1');
  expect(addressGroup('192.0.2.1')).not.toBe(addressGroup('192.0.2.2'));
});

test.each([
  ...(['127.0.0.1', '127.8.9.1', '::1', 'localhost', '::ffff:127.0.0.1'] as const).map(
    (a) => [a, true] as const,
  ),
  ...(
    ['0.0.0.0', '::', '192.0.2.1', '10.0.0.1', 'localhost.example.org', '127.0.0.1.example.org'] as const
  ).map((a) => [a, false] as const),
])('%s is on this machine: %s', (address, expected) => {
  expect(isLoopback(address)).toBe(expected);
});
