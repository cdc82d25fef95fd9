import { useRef } from 'preact/hooks';
import type { Alarm } from '../../shared/model/alarms/alarm.ts';
import { alarmWords } from '../../shared/words/alarm.ts';
import { IfMay } from '../common/if-may.tsx';
import { reader, say, secondMs } from '../state.ts';
import { AcknowledgeButton, AcknowledgeStatus, useAcknowledge } from './acknowledge.tsx';
import { UNANSWERED } from './alarms.ts';

/** What to do about an alarm, and the button that acknowledges it: the least of its block. */
export function AlarmAnswer({ alarm }: { alarm: Alarm }) {
  const words = alarmWords(alarm, { ...reader.value, nowMs: secondMs.value });
  const acknowledging = useAcknowledge(alarm);
  const rest = useRef<HTMLDivElement>(null);
  const done = () => {
    say(`${alarm.placeName}: acknowledged.`);
    // the button that was pressed goes away: keep the keyboard where it was
    rest.current?.focus();
  };
  return (
    <div class="alarm-answer" ref={rest} tabIndex={-1}>
      {words.action && <p class="do">{words.action}</p>}
      {UNANSWERED.includes(alarm.state) && (
        <IfMay route="acknowledgeAlarm">
          <AcknowledgeButton of={acknowledging} done={done} />
          <AcknowledgeStatus of={acknowledging} />
        </IfMay>
      )}
    </div>
  );
}
