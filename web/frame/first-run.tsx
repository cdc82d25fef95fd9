import { ArchiveLead } from '../archive/archive-lead.tsx';
import { WaitingSection } from '../archive/waiting.tsx';
import { BeginPath } from '../begin/begin.tsx';
import { known } from '../state.ts';
import { DemoSwitch } from './demo-switch.tsx';
import { SafetyWords } from './safety.tsx';

/** What an installation without a place shows: the steps of a first evening, or a demo place to look at. */
export function FirstRun() {
  const { house } = known.value;
  if (!house) return null;
  return (
    <div class="first-run" data-testid="first-run">
      <h1>No readings yet</h1>
      <p class="say">
        A place appears here by itself with the first readings of a device. Nothing has to be set up before;
        names and targets can be changed at any time.
      </p>
      <WaitingSection />
      <ArchiveLead />
      <BeginPath />
      <section>
        <h2>Or look at a demo place first</h2>
        <p>
          A demo mist bench and a demo bottle dome with two weeks of record, then going on live. They are
          marked as demo places, and are removed with all their record whenever you like.
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
