import { connect, type MqttClient } from 'mqtt';
import { READINGS_FILTER, STATUS_FILTER } from '../../../firmware-contracts/v1/topics.ts';
import type { Clock, Inbox, Log } from '../../ports.ts';

const RECONNECT_MS = 2_000;

type SecondDeps = {
  readonly broker: {
    readonly url: string;
    readonly clientId: string;
    readonly username?: string | undefined;
    readonly password?: string | undefined;
    readonly ca?: Buffer | undefined;
  };
  readonly inbox: Inbox;
  readonly clock: Clock;
  readonly log: Log;
};

/**
 * A second session at an outside broker, clean and at QoS 0. A broker stops delivering once as many messages are not
 * acknowledged as may be under way; this session is asked for no acknowledgement, so that what comes is judged.
 */
export function secondSession({ broker, inbox, clock, log }: SecondDeps) {
  let client: MqttClient | null = null;
  const receive = (topic: string, payload: Buffer, retainedCopy: boolean) => {
    // judged, and not acknowledged; once the record is written it comes again by the first session
    inbox.offer({ topic, payload, arrivedAtMs: clock.nowMs(), retainedCopy }).catch(() => undefined);
  };
  return {
    /** @param further filters beside those of the contract */
    open(further: readonly string[]) {
      if (client !== null) return;
      const { url, clientId, username, password, ca } = broker;
      const opened = connect(url, {
        clientId: `${clientId}-judge`,
        protocolVersion: 4,
        clean: true,
        reconnectPeriod: RECONNECT_MS,
        queueQoSZero: false,
        ...(username === undefined ? {} : { username }),
        ...(password === undefined ? {} : { password }),
        ...(ca === undefined ? {} : { ca }),
      });
      opened.on('error', (error) => log.warn('the second session cannot join', { error: error.message }));
      opened.on('message', (topic, payload, { retain }) => receive(topic, payload, retain));
      opened.on('connect', () => {
        opened.subscribe([READINGS_FILTER, STATUS_FILTER, ...further], { qos: 0 }, (error) => {
          if (error) log.error('the broker refuses the second session', { error: error.message });
        });
      });
      client = opened;
      log.info('a second session at the broker feeds judgement until the record can be written');
    },
    close() {
      client?.end(true);
      client = null;
    },
  };
}
