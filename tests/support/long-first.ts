import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files that take long, longest first: begun last, one of them would run on with the other worker idle. */
const LONG = [
  'server/daemon/simulated-year',
  'server/daemon/simulated-faults',
  'server/daemon/good-dome',
  'server/daemon/vent-once',
  'server/daemon/rules-live-and-past',
  'server/daemon/alarm-rules',
  'journey/every-page',
  'journey/backup',
  'journey/outside-broker',
  'journey/people',
  'journey/exchange',
  'journey/first-contact',
  'journey/ingest',
  'journey/restored-keys',
  'journey/handover-killed',
].map((name) => `/tests/${name.startsWith('journey') ? '' : 'unit/'}${name}.test.ts`);

/** The usual order, with the long ones before all others. */
export class LongFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification) => {
      const at = LONG.findIndex((name) => moduleId.endsWith(name));
      return at < 0 ? LONG.length : at;
    };
    return (await super.sort(files)).toSorted((a, b) => place(a) - place(b));
  }
}
