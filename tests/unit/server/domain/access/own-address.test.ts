import { describe, expect, test } from 'vitest';
import { isOwnAddress } from '../../../../../server/domain/access/own-address.ts';

const INTERFACES = ['127.0.0.1', '192.168.7.20', '2001:db8:0:1::20', 'fe80::1234'];

describe('this computer itself', () => {
  test.each([
    '127.0.0.1',
    '127.255.255.254',
    '0.0.0.0',
    '0.1.2.3',
    '169.254.169.254',
    '::',
    '::1',
    '0:0:0:0:0:0:0:1',
    'fe80::1',
    'febf::1',
    'fe80::1%eth0',
    '::ffff:127.0.0.1',
    '::ffff:7f00:1',
    '0:0:0:0:0:ffff:a9fe:a9fe',
    '::127.0.0.1',
    '64:ff9b::7f00:1',
    '192.168.7.20',
    '::ffff:192.168.7.20',
    '::ffff:c0a8:714',
    '2001:db8:0:1::20',
    '2001:0DB8:0000:0001:0000:0000:0000:0020',
  ])('is %s', (address) => {
    expect(isOwnAddress(address, INTERFACES)).toBe(true);
  });
});

describe('another computer', () => {
  test.each([
    '192.168.7.21',
    '10.0.0.1',
    '172.16.0.9',
    '100.64.0.1',
    '128.0.0.1',
    '169.253.1.1',
    '1.127.0.0',
    '203.0.113.9',
    '2001:db8:0:1::21',
    'fd00::1',
    'fec0::1',
    '::ffff:192.168.7.21',
    '64:ff9b::c0a8:715',
  ])('is %s', (address) => {
    expect(isOwnAddress(address, INTERFACES)).toBe(false);
  });
});
