import type { Probe } from '../../shared/model/probes/probe.ts';
import type { Answered } from '../../shared/routes/call.ts';
import type { TemperatureUnit } from '../common/format.ts';
import type { Scale } from './checks/check-words.ts';

/** A probe with its newest reading. */
export type ProbeRow = Answered<'listProbes'>['probes'][number];
type Row = Pick<Probe, 'id' | 'device' | 'name' | 'quantity' | 'unit'>;

/** The probes of the installation, by number. */
export type Named = {
  readonly rows: readonly Row[];
  nameOf(probeId: number): string;
  scaleOf(probeId: number): Scale;
};

/** @param unit in which temperatures are read */
export function namedOf(rows: readonly Row[], unit: TemperatureUnit): Named {
  const of = (probeId: number) => rows.find(({ id }) => id === probeId);
  return {
    rows,
    nameOf(probeId) {
      const row = of(probeId);
      return row ? `${row.device}/${row.name}` : `probe ${probeId}`;
    },
    scaleOf(probeId) {
      const row = of(probeId);
      return { quantity: row?.quantity ?? null, unitText: row?.unit ?? '', unit };
    },
  };
}
