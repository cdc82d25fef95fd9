import { useState } from 'preact/hooks';
import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { ACKNOWLEDGE_WORDS, notAcknowledgedWords } from '../../shared/words/acknowledge.ts';
import { call, problemWords } from '../api.ts';
import { known } from '../state.ts';
import { withAnswer } from './alarms.ts';

/** After so long the page says that it is still sending, and that nobody knows whether it got through, ms. Proposals. */
const SLOW_AFTER_MS = 4_000;
const UNKNOWN_AFTER_MS = 30_000;

type Acknowledging = {
  /** on its way; the button waits */
  readonly pending: boolean;
  /** what stands beside the button, or null */
  readonly words: string | null;
  readonly failed: boolean;
  /** @returns whether it is acknowledged */
  readonly run: () => Promise<boolean>;
};

type Phase = Pick<Acknowledging, 'pending' | 'words' | 'failed'>;
const IDLE: Phase = { pending: false, words: null, failed: false };
const PENDING: Phase = { ...IDLE, pending: true };

/**
 * Acknowledges an alarm and says at once how far it is: on its way, still on its way on a slow link, acknowledged as the
 * daemon answered, or not, and why. The page shows the answer whether its live feed is up or not.
 */
export function useAcknowledge(alarm: Alarm): Acknowledging {
  const [phase, setPhase] = useState<Phase>(IDLE);
  const run = async () => {
    setPhase(PENDING);
    const late = [
      setTimeout(() => setPhase({ ...PENDING, words: ACKNOWLEDGE_WORDS.slow }), SLOW_AFTER_MS),
      setTimeout(
        () => setPhase({ ...IDLE, failed: true, words: ACKNOWLEDGE_WORDS.unknown }),
        UNKNOWN_AFTER_MS,
      ),
    ];
    try {
      const answered = await call('acknowledgeAlarm', { params: { id: alarm.id } });
      known.value = withAnswer(known.value, answered);
      setPhase(IDLE);
      return true;
    } catch (thrown) {
      setPhase({ ...IDLE, failed: true, words: notAcknowledgedWords(problemWords(thrown)) });
      return false;
    } finally {
      for (const timer of late) clearTimeout(timer);
    }
  };
  return { ...phase, run };
}

/** The button, which says at once that it was pressed. */
export function AcknowledgeButton({ of, done }: { of: Acknowledging; done: () => void }) {
  const acknowledge = async () => {
    if (!of.pending && (await of.run())) done();
  };
  return (
    <button
      type="button"
      class="first"
      data-testid="acknowledge"
      aria-disabled={of.pending}
      aria-busy={of.pending}
      onClick={() => void acknowledge()}
    >
      {of.pending ? ACKNOWLEDGE_WORDS.pending : ACKNOWLEDGE_WORDS.button}
    </button>
  );
}

/** How far an acknowledgement is that takes its time, or why it failed. */
export function AcknowledgeStatus({ of: { words, failed } }: { of: Acknowledging }) {
  if (words === null) return null;
  return (
    <p class={failed ? 'problem' : 'waiting'} role="status">
      {words}
    </p>
  );
}
