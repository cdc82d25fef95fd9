import { ArchiveLead } from '../archive/archive-lead.tsx';
import { WaitingSection } from '../archive/waiting.tsx';
import { Copyable } from '../common/copyable.tsx';
import { IfMay } from '../common/if-may.tsx';
import { firstPackCommand } from '../devices/broker.ts';
import { MisspeltNotice } from '../messages/unread.tsx';
import { access } from '../settings/access.ts';
import { known } from '../state.ts';
import { DemoSwitch } from './demo-switch.tsx';
import { SafetyWords } from './safety.tsx';

/** What an installation without a place shows: how to connect the first sensor, or a demo place to look at. */
export function FirstRun() {
  const { house } = known.value;
  if (!house) return null;
  const { broker } = house;
  return (
    <div class="first-run" data-testid="first-run">
      <h1>No readings yet</h1>
      <p class="say">
        A place appears here by itself with the first readings of a device. Nothing has to be set up before;
        names and targets can be changed at any time.
      </p>
      <WaitingSection />
      <ArchiveLead />
      <section>
        <h2>Connect the first sensor</h2>
        <p>
          Send readings to the broker at <b>{broker.address}</b>
          {broker.connected ? '' : ' (which cannot be reached now)'}. From a shell on this machine, one pack
          of three:
        </p>
        <Copyable lines={firstPackCommand(broker.address)} />
        <IfMay route="listUnreadTopics">
          <MisspeltNotice />
        </IfMay>
        {access.value?.closed && broker.embedded && (
          <p>
            An owner password is set, so sensors must log in: add them on the page{' '}
            <a href="#/devices">Devices</a>, and add <code>-u NAME -P SECRET</code>.
          </p>
        )}
        <p>
          It makes a place called <i>sill</i>. A sensor node sends the same to its own topic, with its own
          name in the place of <i>sill</i>.
        </p>
        <p>
          Nothing happens? <a href="#/watch">Live messages</a> shows every message as it comes, with its
          result. A device that sends in a form of its own is read under <a href="#/other">Other topics</a>.
        </p>
      </section>
      <section>
        <h2>Or look at a demo place first</h2>
        <p>
          A demo mist bench, bottle dome and heated case with weeks of record, batches and alarms, then going
          on live. They are marked as demo places, and are removed with all their record whenever you like.
        </p>
        <DemoSwitch />
      </section>
      <section>
        <h2>Before you rely on it</h2>
        <SafetyWords />
      </section>
    </div>
  );
}
