import { createHash } from 'node:crypto';
import type { Aedes, Client, PublishPacket } from 'aedes';
import type { Handshake, Inbox } from '../../ports.ts';

/** What the broker asks its memory about a packet: a PUBREL ends the handshake of its identifier. */
type Incoming = (client: Client, packet: { readonly cmd: string; readonly messageId: number }) => unknown;

/**
 * Follows deliveries at QoS 2. The broker asks for permission at each PUBLISH, also at one that comes again, and its own
 * memory of them ends with the connection; so each is handed over with the handshake it belongs to.
 */
export function followHandshakes({ over }: Pick<Inbox, 'over'>) {
  const open = new WeakMap<Client, Map<number, string>>();
  return {
    /** The handshake of a message of QoS 2; undefined for any other. */
    of(client: Client | null, packet: PublishPacket): Handshake | undefined {
      const id = (packet as { readonly messageId?: number }).messageId;
      if (client === null || packet.qos !== 2 || id === undefined) return undefined;
      const content = contentOf(packet);
      const known = open.get(client) ?? new Map<number, string>();
      const mayRepeat = packet.dup === true || known.get(id) === content;
      open.set(client, known.set(id, content));
      return { key: keyOf(client, id), content, mayRepeat };
    },
    /** From now on a PUBREL at the broker ends its handshake. */
    watch(broker: Aedes) {
      const { persistence } = broker as unknown as { readonly persistence: { incomingGetPacket: Incoming } };
      const ask = persistence.incomingGetPacket.bind(persistence);
      persistence.incomingGetPacket = (client, packet) => {
        if (packet.cmd === 'pubrel') {
          open.get(client)?.delete(packet.messageId);
          over(keyOf(client, packet.messageId));
        }
        return ask(client, packet);
      };
    },
  };
}

function keyOf({ id: clientId }: Client, id: number): string {
  return `${clientId}/${id}`;
}

function contentOf({ topic, payload }: PublishPacket): string {
  return createHash('sha256').update(`${topic}\0`).update(payload).digest('base64');
}
