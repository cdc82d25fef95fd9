type FaultNote = { readonly meaning: string; readonly remedy: string };

/** Why a pack of readings is refused. Such a pack is acknowledged, kept whole and counted; none of it is stored. */
export const PACK_FAULTS = {
  'bad-topic': {
    meaning: 'the topic is not strikewell/1/<device>/readings, or the device name is not allowed',
    remedy: 'name the device with 1 to 64 of A-Z a-z 0-9 - _ .',
  },
  'payload-too-large': { meaning: 'more than 65536 bytes', remedy: 'send several packs' },
  'not-utf8': { meaning: 'the payload is not UTF-8', remedy: 'send JSON as UTF-8 text' },
  'not-json': { meaning: 'the payload is not JSON', remedy: 'check brackets, commas and cut-off buffers' },
  'not-a-pack': { meaning: 'not a JSON array of at least 1 record', remedy: 'wrap the records in [ ]' },
  'too-many-records': { meaning: 'more than 500 records', remedy: 'send several packs' },
  'not-a-record': { meaning: 'an element is not a JSON object', remedy: 'send one object per record' },
  'bad-field': {
    meaning: 'a field has a type or value SenML does not allow',
    remedy: 'leave a field out rather than send null; send numbers without quotes',
  },
  'unsupported-version': {
    meaning: 'bver is above 10, or changes within the pack',
    remedy: 'leave bver out',
  },
  'must-understand': {
    meaning: 'a field we do not know ends in _, so it may not be ignored',
    remedy: 'leave the field out, or give it a name without the final _',
  },
  'bad-name': {
    meaning: 'bn + n is empty, too long, or holds a character SenML does not allow',
    remedy: 'name the probe with up to 96 of A-Z a-z 0-9 - : . / _, beginning with a letter or digit',
  },
  'other-device': {
    meaning: 'the name belongs to another device than the topic',
    remedy: 'send each device on its own topic',
  },
  'no-value': { meaning: 'a record without value', remedy: 'leave the record out when the sensor failed' },
  'several-values': { meaning: 'more than one of v, vb, vs, vd', remedy: 'send one record per value' },
  'unsupported-value': {
    meaning: 'a text, data or sum value, or on/off for a probe that measures',
    remedy: 'send a number as v',
  },
  'too-many-probes': {
    meaning:
      'more new probes than are kept of one device (200), of all devices without a login of their own (5000), or in all (6000)',
    remedy: 'keep probe names the same from pack to pack; archive or delete probes that are not needed',
  },
  'unit-missing': { meaning: 'no unit for a well-known probe', remedy: 'add u or bu' },
  'unit-unknown': {
    meaning: 'the unit is not registered for SenML',
    remedy: 'use a registered unit, in its exact case',
  },
  'unit-unfit': {
    meaning: 'the unit does not measure this quantity',
    remedy: 'use a unit listed for the probe',
  },
  'out-of-range': {
    meaning: 'no sensor of this quantity can read that value',
    remedy: 'check the wiring, the sensor’s error value and the unit',
  },
  'bad-time': {
    meaning: 'the time lies before 4 July 1978, the first SenML can state',
    remedy: 'check the clock of the device',
  },
  'beyond-retention': {
    meaning: 'older than readings are kept',
    remedy: 'deliver what was held back sooner, or keep readings longer (STRIKEWELL_KEEP_RAW_DAYS)',
  },
  'time-in-future': {
    meaning: 'more than 5 minutes after arrival',
    remedy: 'send seconds, not milliseconds; set the clock of the device',
  },
  'retained-without-time': {
    meaning: 'an old retained message whose time was its arrival',
    remedy: 'do not retain readings, or give them an absolute time',
  },
  'not-storable': {
    meaning: 'the pack is valid, but it could not be stored: a fault in Strikewell',
    remedy: 'keep the pack, run "strikewell doctor" and report it; later packs are stored as ever',
  },
} as const satisfies Record<string, FaultNote>;

/** Why a message that a mapping reads is refused, besides the reasons for packs; it is kept and counted like them. */
const MAPPING_FAULTS = {
  'mapped-nothing': {
    meaning: 'the pointer of a mapping leads to nothing in the message',
    remedy: 'tap the value in a message that was received, or say that it may be missing',
  },
  'mapped-no-number': {
    meaning: 'what a mapping points at is no number',
    remedy: 'point at the number itself, not at what holds it',
  },
  'mapped-bad-time': {
    meaning: 'what a mapping points at is no time of the stated form',
    remedy: 'choose the form the device sends, or the arrival as the time',
  },
  'mapped-device': {
    meaning: 'the topic has no such level, or one that is no device name',
    remedy: 'take another level, or name the device',
  },
} as const satisfies Record<string, FaultNote>;

/** Why readings that could be read are not let in; they are kept and counted like refused packs. */
const ADMISSION_FAULTS = {
  archived: {
    meaning: 'the device or its place was archived or deleted',
    remedy: 'restore it under Archived, or remove it for good: then the device joins again',
  },
  'waiting-list-full': {
    meaning: 'a new device, while 50 others wait to be accepted',
    remedy: 'accept or ignore devices that wait, or give this one a login of its own',
  },
} as const satisfies Record<string, FaultNote>;

/** Why readings were judged and not stored; their packs are kept and counted like refused ones. */
const CLOCK_FAULTS = {
  'clock-behind': {
    meaning: 'the clock of this computer is behind all that is kept',
    remedy: 'check the date, the time and the time synchronisation of this computer',
  },
} as const satisfies Record<string, FaultNote>;

/** Whatever a message from outside may be refused for. */
export const REFUSAL_FAULTS = {
  ...PACK_FAULTS,
  ...MAPPING_FAULTS,
  ...ADMISSION_FAULTS,
  ...CLOCK_FAULTS,
} as const;

/** What an operator or a caller of the interface can do wrong, or what breaks at an edge. */
export const OPERATOR_FAULTS = {
  'unknown-setting': { meaning: 'a setting nobody reads', remedy: 'correct or remove the key' },
  'bad-setting': { meaning: 'a setting with a value it cannot have', remedy: 'correct the value' },
  'port-in-use': { meaning: 'another program listens on the port', remedy: 'choose another port' },
  'data-dir-unwritable': { meaning: 'the data folder cannot be written', remedy: 'grant write access' },
  'not-found': { meaning: 'no such thing', remedy: 'ask for the list first' },
  'websocket-needed': {
    meaning: 'an address that is a websocket was asked for without the upgrade to one',
    remedy: 'connect to it as a websocket (RFC 6455)',
  },
  'bad-request': { meaning: 'a request that does not fit the interface', remedy: 'see the OpenAPI document' },
  'not-a-photo': {
    meaning: 'a file that is neither JPEG nor PNG by its first bytes',
    remedy: 'save it as JPEG or PNG',
  },
  'photo-too-large': { meaning: 'a photo of more than 8 MB', remedy: 'make it smaller' },
  'forbidden-origin': { meaning: 'a request from another site’s page', remedy: 'use the page served here' },
  'sign-in-needed': { meaning: 'nobody is signed in', remedy: 'sign in with an account of this house' },
  'sign-in-failed': { meaning: 'name and password do not fit', remedy: 'try again, or ask the owner' },
  'confirm-needed': {
    meaning: 'the password must be given again before who may is changed',
    remedy: 'POST /api/v1/access/confirm, then ask again',
  },
  'passkey-needed': {
    meaning: 'the account asks for a passkey, and none of it works at this address',
    remedy: 'sign in at the address where it was added, or have it removed',
  },
  'not-allowed': { meaning: 'the account may not do that', remedy: 'ask the owner' },
  'too-many-attempts': {
    meaning: 'too many wrong passwords from one address',
    remedy: 'wait, then try again',
  },
  'store-failed': { meaning: 'the database refused to write', remedy: 'look at disk space and permissions' },
  'store-damaged': { meaning: 'the database is damaged or gone', remedy: 'restore the newest good backup' },
  'data-dir-in-use': { meaning: 'another process runs on the data folder', remedy: 'stop that one first' },
  'backup-failed': {
    meaning: 'a backup could not be made or proved',
    remedy: 'look at disk space and the disk',
  },
  'bad-backup': { meaning: 'a file that cannot be restored', remedy: 'try another backup' },
} as const satisfies Record<string, FaultNote>;

export type PackFaultCode = keyof typeof REFUSAL_FAULTS;
type OperatorFaultCode = keyof typeof OPERATOR_FAULTS;
export type FaultCode = PackFaultCode | OperatorFaultCode;
type FaultDetails = Readonly<Record<string, string | number | boolean | null>>;

/** An operator's mistake or a broken edge; the message names the key, the value, what was expected and the remedy. */
export class Fault extends Error {
  override readonly name = 'Fault';
  readonly code: FaultCode;
  readonly details: FaultDetails;

  constructor(fault: {
    readonly code: FaultCode;
    readonly message: string;
    readonly details?: FaultDetails;
    readonly cause?: unknown;
  }) {
    super(fault.message, 'cause' in fault ? { cause: fault.cause } : undefined);
    this.code = fault.code;
    this.details = fault.details ?? {};
  }
}

/** Stops the daemon on a mistake of our own: it is never caught to carry on. */
export function invariant(holds: unknown, what: string): asserts holds {
  if (!holds) throw new Error(`invariant broken: ${what}`);
}
