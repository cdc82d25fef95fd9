/** Rules that hold one number against a limit. */
export const LIMIT_RULES = [
  'air-over-ceiling',
  'air-far-over-ceiling',
  'air-below-band-at-night',
  'air-below-band-by-day',
  'air-far-too-cold',
  'root-too-hot',
  'root-below-band',
  'root-zone-far-too-cold',
  'root-falling-towards-air',
  'vpd-above-band-in-light',
  'no-mist-in-light',
  'mist-without-water',
  'mist-stuck-on',
  'vent-left-open',
  'saturated-too-long',
  'air-warmer-than-root',
  'light-over-peak',
] as const;
/** Early notices: what is expected at a place. */
export const NOTICE_RULES = ['ceiling-expected', 'root-floor-expected', 'film-drying-expected'] as const;
/** Rules about the monitoring of a place, and what is expected there. */
const WATCH_RULES = ['no-data', 'probe-silent', 'power-back', 'probe-suspect', ...NOTICE_RULES] as const;
/** Rules that a place may set otherwise. */
export const SETTABLE_RULES = [...LIMIT_RULES, 'no-data', 'probe-silent', ...NOTICE_RULES] as const;
/** Rules of the installation, of no place. */
export const HOUSE_RULES = [
  'watch-was-down',
  'way-failing',
  'test-unconfirmed',
  'record-not-writable',
  'clock-jumped',
  'message-set-aside',
  'restore-incomplete',
  'monitoring-fault',
] as const;
export const ALARM_RULES = [...LIMIT_RULES, ...WATCH_RULES, ...HOUSE_RULES] as const;

export type LimitRule = (typeof LIMIT_RULES)[number];
export type SettableRule = (typeof SETTABLE_RULES)[number];
export type NoticeRule = (typeof NOTICE_RULES)[number];
export type WatchRule = (typeof WATCH_RULES)[number];
export type HouseRule = (typeof HOUSE_RULES)[number];
export type AlarmRule = (typeof ALARM_RULES)[number];
