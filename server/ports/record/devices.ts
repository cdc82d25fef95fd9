import type { DeviceState } from '../../../shared/model/probes/device.ts';
import type { DevicesAnswer, NewDevice, TurnedAwayWhy } from '../../../shared/wire/probes/device.ts';

/** The login of one device as it is kept. */
export type KeptDevice = {
  readonly name: string;
  readonly fingerprint: string;
  readonly state: DeviceState;
  readonly createdMs: number;
  readonly secretMs: number;
  readonly stateMs: number;
};

/** The logins of devices. Whatever is changed here counts at once. */
export type DeviceLogins = {
  devices(): KeptDevice[];
  device(name: string): KeptDevice | null;
  addDevice(device: Pick<KeptDevice, 'name' | 'fingerprint' | 'createdMs'>): void;
  setDeviceSecret(device: Pick<KeptDevice, 'name' | 'fingerprint' | 'secretMs'>): void;
  setDeviceState(device: Pick<KeptDevice, 'name' | 'state' | 'stateMs'>): void;
};

/** What a client was let in by: a device's own secret, a shared login, or nothing at all. */
export type Pass = { readonly device: string | null; readonly fingerprint: string | null };

/** Why somebody is not let in. */
export type LoginRefusal = Extract<
  TurnedAwayWhy,
  'anonymous' | 'bad-login' | 'device-disabled' | 'client-id'
>;

/** Who may publish at the embedded broker. */
export type BrokerGateway = {
  /** True while anybody may, without a name. */
  open(): boolean;
  /** What the client is let in by, or why not. */
  letIn(knock: {
    readonly login: { readonly name: string; readonly secret: string } | null;
    readonly clientId: string;
  }): Pass | LoginRefusal;
  /** Whether what was let in by this pass may still publish. */
  holds(pass: Pass): boolean;
  /** Whether it may publish for a device: one that has a secret of its own publishes for itself, nobody else does. */
  maySpeakFor(pass: Pass, device: string): boolean;
};

/** One connection at the embedded broker. */
export type Caller = {
  readonly clientId: string;
  /** the device whose own secret it came with */
  readonly device: string | null;
  readonly address: string;
};

/** Called when clients connect to or leave the embedded broker. */
export type GatewayWatch = {
  came(caller: Caller): void;
  left(caller: Caller): void;
  /** a new client came under the client id of one that was connected */
  tookOver(before: Caller, caller: Caller): void;
  spoke(caller: Caller, device: string): void;
  turnedAway(event: {
    readonly why: TurnedAwayWhy;
    readonly caller: Caller;
    readonly name: string | null;
    readonly topic: string | null;
  }): void;
};

/** The devices of the installation: what is known of them, and who may publish as them. */
export type DeviceService = {
  answer(): DevicesAnswer;
  /** Gives a device a login of its own. @throws Fault `bad-request` for one that has one, or a name that is taken */
  add(device: string): NewDevice;
  /** Makes a new secret; the old one ends at once. @throws Fault `not-found` */
  rotate(device: string): NewDevice;
  /** @throws Fault `not-found` */
  setState(device: string, state: DeviceState): void;
};
