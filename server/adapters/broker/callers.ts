import type { AuthenticateError, Client } from 'aedes';
import { parseDeviceTopic, READINGS_FILTER, STATUS_FILTER } from '../../../firmware-contracts/v1/topics.ts';
import type { TurnedAwayWhy } from '../../../shared/wire/device.ts';
import { plainAddress } from '../../domain/access/address.ts';
import type { BrokerDoor, Caller, DoorWatch, ForeignDoor, Pass } from '../../ports.ts';

/** What a client may hear that logged in: what the daemon tells, nothing of other devices. */
const OURS_TO_HEAR = /^strikewell\/1\/(watch|places|alarms)\//;
/** MQTT 3.1.1, table 3.1: identifier rejected; bad user name or password; not authorized. */
const [BAD_ID, BAD_LOGIN, NOT_AUTHORIZED] = [2, 4, 5];

const REFUSALS: Readonly<Record<TurnedAwayWhy, { readonly words: string; readonly returnCode: number }>> = {
  anonymous: { words: 'an anonymous client', returnCode: NOT_AUTHORIZED },
  'bad-login': { words: 'name and secret do not fit', returnCode: BAD_LOGIN },
  'device-disabled': { words: 'the device is disabled or retired', returnCode: NOT_AUTHORIZED },
  'client-id': {
    words: 'the client id is the name of a device with a secret of its own',
    returnCode: BAD_ID,
  },
  'other-topic': { words: 'a device speaks for itself alone', returnCode: NOT_AUTHORIZED },
  'no-topic': { words: 'no topic of a device', returnCode: NOT_AUTHORIZED },
};

const NOBODY: Pass = { device: null, fingerprint: null };

type Login = { readonly username: string | undefined; readonly password: Buffer | undefined };
type Known = { readonly pass: Pass; readonly caller: Caller; readonly name: string | null };

type Doors = { readonly door: BrokerDoor; readonly watch: DoorWatch; readonly foreign: ForeignDoor };

/** The clients that are connected, each with what it was let in by, and what each may say and hear. */
export function openCallers({ door, watch, foreign }: Doors) {
  const known = new WeakMap<Client, Known>();
  const connected = new Map<string, Client>();
  const passOf = (client: Client) => known.get(client)?.pass ?? NOBODY;
  const stays = (client: Client | null) => client === null || door.holds(passOf(client));
  const cutOff = (client: Client) => {
    connected.delete(client.id);
    client.close();
  };
  const turnedAway = (client: Client, why: TurnedAwayWhy, topic: string | null) => {
    const { caller = callerOf(client, NOBODY), name = null } = known.get(client) ?? {};
    watch.turnedAway({ why, caller, name, topic });
  };
  const whyNot = (client: Client, topic: string) =>
    stays(client) ? objectionTo(topic, passOf(client), { door, foreign }) : 'gone';
  return {
    stays,
    cutOff,
    refusalOf(client: Client, { username, password }: Login): AuthenticateError | null {
      const given = username !== undefined && password !== undefined;
      const login = given ? { name: username, secret: password.toString('utf8') } : null;
      const outcome = door.letIn({ login, clientId: client.id });
      const pass = typeof outcome === 'string' ? NOBODY : outcome;
      const caller = callerOf(client, pass);
      known.set(client, { pass, caller, name: username ?? null });
      if (typeof outcome === 'string') {
        turnedAway(client, outcome, null);
        const { words, returnCode } = REFUSALS[outcome];
        return Object.assign(new Error(words), { returnCode });
      }
      const before = connected.get(client.id);
      const callerBefore = before && known.get(before)?.caller;
      if (callerBefore) watch.tookOver(callerBefore, caller);
      return null;
    },
    /** What speaks against a publish, or null; one of a device is noted. */
    objection(client: Client | null, topic: string): string | null {
      if (client === null) return null;
      const why = whyNot(client, topic);
      if (why === null) return null;
      // who was cut off publishes its Will, which is no try of its own
      if (why !== 'gone') turnedAway(client, why, topic);
      return why === 'gone' ? 'its login ended' : REFUSALS[why].words;
    },
    mayHear: (client: Client | null, filter: string) =>
      stays(client) &&
      (client === null || (door.open() && passOf(client).device === null) || OURS_TO_HEAR.test(filter)),
    spoke(client: Client | null, topic: string) {
      // a Will is no word of its client
      const caller = client && !client.closed && known.get(client)?.caller;
      const device = parseDeviceTopic(topic)?.device;
      if (caller && device !== undefined) watch.spoke(caller, device);
    },
    came(client: Client) {
      connected.set(client.id, client);
      const caller = known.get(client)?.caller;
      if (caller) watch.came(caller);
    },
    left(client: Client) {
      if (connected.get(client.id) === client) connected.delete(client.id);
      const caller = known.get(client)?.caller;
      if (caller) watch.left(caller);
    },
    recheck() {
      for (const client of connected.values()) if (!stays(client)) cutOff(client);
    },
  };
}

/** Why a client may not publish on a topic, or null. */
function objectionTo(
  topic: string,
  pass: Pass,
  { door, foreign }: Omit<Doors, 'watch'>,
): TurnedAwayWhy | null {
  const device = deviceOf(topic) ?? foreign.speaksFor(topic);
  if (device !== null) return door.maySpeakFor(pass, device) ? null : 'other-topic';
  const free = (door.open() && pass.device === null) || foreign.mayPublish(topic);
  return free ? null : 'no-topic';
}

function callerOf(client: Client, { device }: Pass): Caller {
  const { remoteAddress } = client.conn as { remoteAddress?: string };
  return { clientId: client.id, device, address: plainAddress(remoteAddress ?? '') };
}

/** The device of one of the two topics of a device, also when its name is not allowed: that is refused and shown. */
export function deviceOf(topic: string): string | null {
  for (const filter of [READINGS_FILTER, STATUS_FILTER]) {
    const [head = '', tail = ''] = filter.split('+');
    if (topic.startsWith(head) && topic.endsWith(tail)) return topic.slice(head.length, -tail.length);
  }
  return null;
}
