import { access } from '../access.ts';
import { firstPackCommand } from '../state/broker.ts';
import { known } from '../state.ts';
import { ArchiveLead } from './archive-lead.tsx';
import { Copyable } from './copyable.tsx';
import { DemoSwitch } from './demo-switch.tsx';
import { IfMay } from './if-may.tsx';
import { SafetyWords } from './safety.tsx';
import { MisspeltNotice } from './unread.tsx';
import { WaitingSection } from './waiting.tsx';

/** What a house without a place shows: how to connect the first sensor, or an invented place to look at. */
export function FirstRun() {
  const { house } = known.value;
  if (!house) return null;
  const { broker } = house;
  return (
    <div class="first-run" data-testid="first-run">
      <h1>No place tells anything yet</h1>
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
        <IfMay route="get /api/v1/watch/unread">
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
          result. A device that sends in a form of its own is read under <a href="#/other">Other messages</a>.
        </p>
      </section>
      <section>
        <h2>Or look at an invented place first</h2>
        <p>
          An invented mist bench and an invented bottle dome with two weeks of record, then going on live.
          They are marked as invented, and are removed with all their record whenever you like.
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
