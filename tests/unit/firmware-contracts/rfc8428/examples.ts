import type { SenmlRecord } from '../../../../firmware-contracts/v1/readings.ts';

type Example = {
  readonly section: string;
  readonly pack: readonly SenmlRecord[];
  readonly resolved: readonly SenmlRecord[];
};

/** What "now" is taken to be where an example has no absolute time: any instant would do. */
export const NOW_S = 1.5e9;

const DEVICE = 'urn:dev:ow:10e2073a01080063';
const RH = '%RH';

/**
 * Packs: RFC 8428, August 2018, sections 5.1.1 to 5.1.7, retyped.
 * Resolved: printed in section 5.1.4 for the pack of 5.1.3; all others follow by hand from
 * section 4.6: bn + n, bt + t, u else bu; "now" is NOW_S.
 */
export const RFC8428_EXAMPLES: readonly Example[] = [
  {
    section: '5.1.1',
    pack: [{ n: DEVICE, u: 'Cel', v: 23.1 }],
    resolved: [{ n: DEVICE, u: 'Cel', v: 23.1, t: NOW_S }],
  },
  {
    section: '5.1.2, first',
    pack: [
      { bn: `${DEVICE}:`, n: 'voltage', u: 'V', v: 120.1 },
      { n: 'current', u: 'A', v: 1.2 },
    ],
    resolved: [
      { n: `${DEVICE}:voltage`, u: 'V', v: 120.1, t: NOW_S },
      { n: `${DEVICE}:current`, u: 'A', v: 1.2, t: NOW_S },
    ],
  },
  {
    // bver 5 is not the version of the RFC, so every resolved record states it; oldest first.
    section: '5.1.2, second',
    pack: [
      {
        bn: 'urn:dev:ow:10e2073a0108006:',
        bt: 1.276020076001e9,
        bu: 'A',
        bver: 5,
        n: 'voltage',
        u: 'V',
        v: 120.1,
      },
      { n: 'current', t: -5, v: 1.2 },
      { n: 'current', t: -4, v: 1.3 },
      { n: 'current', t: -3, v: 1.4 },
      { n: 'current', t: -2, v: 1.5 },
      { n: 'current', t: -1, v: 1.6 },
      { n: 'current', v: 1.7 },
    ],
    resolved: [
      { bver: 5, n: 'urn:dev:ow:10e2073a0108006:current', u: 'A', v: 1.2, t: 1276020071.001 },
      { bver: 5, n: 'urn:dev:ow:10e2073a0108006:current', u: 'A', v: 1.3, t: 1276020072.001 },
      { bver: 5, n: 'urn:dev:ow:10e2073a0108006:current', u: 'A', v: 1.4, t: 1276020073.001 },
      { bver: 5, n: 'urn:dev:ow:10e2073a0108006:current', u: 'A', v: 1.5, t: 1276020074.001 },
      { bver: 5, n: 'urn:dev:ow:10e2073a0108006:current', u: 'A', v: 1.6, t: 1276020075.001 },
      { bver: 5, n: 'urn:dev:ow:10e2073a0108006:voltage', u: 'V', v: 120.1, t: 1276020076.001 },
      { bver: 5, n: 'urn:dev:ow:10e2073a0108006:current', u: 'A', v: 1.7, t: 1276020076.001 },
    ],
  },
  {
    section: '5.1.2, third, as far as printed',
    pack: [
      { bn: DEVICE, bt: 1.320067464e9, bu: RH, v: 21.2 },
      { t: 10, v: 21.3 },
      { t: 20, v: 21.4 },
      { t: 30, v: 21.4 },
      { t: 40, v: 21.5 },
      { t: 50, v: 21.5 },
      { t: 60, v: 21.5 },
      { t: 70, v: 21.6 },
      { t: 80, v: 21.7 },
    ],
    resolved: [
      { n: DEVICE, u: RH, t: 1320067464, v: 21.2 },
      { n: DEVICE, u: RH, t: 1320067474, v: 21.3 },
      { n: DEVICE, u: RH, t: 1320067484, v: 21.4 },
      { n: DEVICE, u: RH, t: 1320067494, v: 21.4 },
      { n: DEVICE, u: RH, t: 1320067504, v: 21.5 },
      { n: DEVICE, u: RH, t: 1320067514, v: 21.5 },
      { n: DEVICE, u: RH, t: 1320067524, v: 21.5 },
      { n: DEVICE, u: RH, t: 1320067534, v: 21.6 },
      { n: DEVICE, u: RH, t: 1320067544, v: 21.7 },
    ],
  },
  {
    section: '5.1.3, resolved as printed in 5.1.4',
    pack: [
      { bn: DEVICE, bt: 1.320067464e9, bu: RH, v: 20 },
      { u: 'lon', v: 24.30621 },
      { u: 'lat', v: 60.07965 },
      { t: 60, v: 20.3 },
      { u: 'lon', t: 60, v: 24.30622 },
      { u: 'lat', t: 60, v: 60.07965 },
      { t: 120, v: 20.7 },
      { u: 'lon', t: 120, v: 24.30623 },
      { u: 'lat', t: 120, v: 60.07966 },
      { u: '%EL', t: 150, v: 98 },
      { t: 180, v: 21.2 },
      { u: 'lon', t: 180, v: 24.30628 },
      { u: 'lat', t: 180, v: 60.07967 },
    ],
    resolved: [
      { n: DEVICE, u: RH, t: 1.320067464e9, v: 20 },
      { n: DEVICE, u: 'lon', t: 1.320067464e9, v: 24.30621 },
      { n: DEVICE, u: 'lat', t: 1.320067464e9, v: 60.07965 },
      { n: DEVICE, u: RH, t: 1.320067524e9, v: 20.3 },
      { n: DEVICE, u: 'lon', t: 1.320067524e9, v: 24.30622 },
      { n: DEVICE, u: 'lat', t: 1.320067524e9, v: 60.07965 },
      { n: DEVICE, u: RH, t: 1.320067584e9, v: 20.7 },
      { n: DEVICE, u: 'lon', t: 1.320067584e9, v: 24.30623 },
      { n: DEVICE, u: 'lat', t: 1.320067584e9, v: 60.07966 },
      { n: DEVICE, u: '%EL', t: 1.320067614e9, v: 98 },
      { n: DEVICE, u: RH, t: 1.320067644e9, v: 21.2 },
      { n: DEVICE, u: 'lon', t: 1.320067644e9, v: 24.30628 },
      { n: DEVICE, u: 'lat', t: 1.320067644e9, v: 60.07967 },
    ],
  },
  {
    section: '5.1.5',
    pack: [
      { bn: `${DEVICE}:`, n: 'temp', u: 'Cel', v: 23.1 },
      { n: 'label', vs: 'Machine Room' },
      { n: 'open', vb: false },
      { n: 'nfc-reader', vd: 'aGkgCg' },
    ],
    resolved: [
      { n: `${DEVICE}:temp`, u: 'Cel', v: 23.1, t: NOW_S },
      { n: `${DEVICE}:label`, vs: 'Machine Room', t: NOW_S },
      { n: `${DEVICE}:open`, vb: false, t: NOW_S },
      { n: `${DEVICE}:nfc-reader`, vd: 'aGkgCg', t: NOW_S },
    ],
  },
  {
    section: '5.1.6',
    pack: [
      { bn: '2001:db8::2/', bt: 1.320078429e9, n: 'temperature', u: 'Cel', v: 25.2 },
      { n: 'humidity', u: RH, v: 30 },
      { bn: '2001:db8::1/', n: 'temperature', u: 'Cel', v: 12.3 },
      { n: 'humidity', u: RH, v: 67 },
    ],
    resolved: [
      { n: '2001:db8::2/temperature', u: 'Cel', t: 1320078429, v: 25.2 },
      { n: '2001:db8::2/humidity', u: RH, t: 1320078429, v: 30 },
      { n: '2001:db8::1/temperature', u: 'Cel', t: 1320078429, v: 12.3 },
      { n: '2001:db8::1/humidity', u: RH, t: 1320078429, v: 67 },
    ],
  },
  {
    section: '5.1.7, first, whose first record sets the base name only',
    pack: [
      { bn: `${DEVICE}:` },
      { n: 'temp', u: 'Cel', v: 23.1 },
      { n: 'heat', u: '/', v: 1 },
      { n: 'fan', u: '/', v: 0 },
    ],
    resolved: [
      { n: `${DEVICE}:temp`, u: 'Cel', v: 23.1, t: NOW_S },
      { n: `${DEVICE}:heat`, u: '/', v: 1, t: NOW_S },
      { n: `${DEVICE}:fan`, u: '/', v: 0, t: NOW_S },
    ],
  },
  {
    section: '5.1.7, second',
    pack: [
      { bt: 1.320078429e9, bu: '/', n: '2001:db8::3', v: 1 },
      { n: '2001:db8::4', v: 1 },
    ],
    resolved: [
      { n: '2001:db8::3', u: '/', t: 1320078429, v: 1 },
      { n: '2001:db8::4', u: '/', t: 1320078429, v: 1 },
    ],
  },
  {
    section: '5.1.7, third',
    pack: [
      { bt: 1.320078429e9, bu: '/', n: '2001:db8::3', v: 0.5 },
      { n: '2001:db8::4', v: 0.5 },
      { n: '2001:db8::3', t: 0.1, v: 0 },
      { n: '2001:db8::4', t: 0.1, v: 0 },
    ],
    resolved: [
      { n: '2001:db8::3', u: '/', t: 1320078429, v: 0.5 },
      { n: '2001:db8::4', u: '/', t: 1320078429, v: 0.5 },
      { n: '2001:db8::3', u: '/', t: 1320078429.1, v: 0 },
      { n: '2001:db8::4', u: '/', t: 1320078429.1, v: 0 },
    ],
  },
];
