import type { BatchReport } from '../../../../shared/wire/cuttings/report.ts';
import type { Exposures } from '../../../../shared/wire/http.ts';
import { csvLine } from './csv-write.ts';

/** One fact of a report: which part, over what time, what, how much. */
type Row = {
  readonly part: string;
  readonly from?: string | null;
  readonly to?: string | null;
  readonly place?: string | null;
  readonly what: string;
  readonly value?: number | string | null;
  readonly unit?: string;
  readonly who?: string | null;
};
type Part = (report: BatchReport) => Row[];

/** The parts of the file, in order: one function each. */
const PARTS: readonly Part[] = [
  aboutIt,
  stages,
  stays,
  exposures,
  thermalTime,
  worstHours,
  alarms,
  diary,
  counts,
  losses,
];

const COLUMNS = ['part', 'from', 'to', 'place', 'what', 'value', 'unit', 'who'] as const;

/**
 * The report of a batch as CSV: a row a fact, so that a spreadsheet filters it by part; times in RFC 3339, UTC.
 * @returns the whole file, its header first
 */
export function reportCsv(report: BatchReport): string {
  const rows = PARTS.flatMap((part) => part(report));
  return [csvLine(COLUMNS), ...rows.map((row) => csvLine(COLUMNS.map((column) => row[column] ?? null)))].join(
    '',
  );
}

function aboutIt({ batch, from, to }: BatchReport): Row[] {
  const part = 'batch';
  const known = {
    id: batch.id,
    crop: batch.crop,
    cultivar: batch.cultivar,
    sheet: `${batch.sheetId} version ${batch.sheetVersion}`,
    state: batch.state,
    note: batch.note,
  };
  return [
    { part, from, to, what: 'cuttings stuck', value: batch.count },
    ...Object.entries(known).flatMap(([what, value]) => (value === null ? [] : [{ part, what, value }])),
  ];
}

function stages({ batch }: BatchReport): Row[] {
  return batch.stages.map(({ stage, from, to }) => ({ part: 'stage', from, to, what: stage }));
}

function stays({ batch }: BatchReport): Row[] {
  return batch.stays.map(({ placeId, from, to }) => ({
    part: 'stood at',
    from,
    to,
    place: placeId,
    what: 'stay',
  }));
}

function exposures({ from, to, exposures: { whole, stages: each } }: BatchReport): Row[] {
  return [
    ...dosesOf(whole, { part: 'exposures, whole', from, to }),
    ...each.flatMap((one) =>
      dosesOf(one.exposures, { part: `exposures, ${one.stage}`, from: one.from, to: one.to }),
    ),
  ];
}

/** Hours within, and hours and doses beyond, each limit. */
function dosesOf(
  { air, rootZone, vpd, saturation, light, leafVpd, harm }: Exposures,
  over: Pick<Row, 'part' | 'from' | 'to'>,
): Row[] {
  const rows: readonly (readonly [string, number | null | undefined, string])[] = [
    ['root zone, covered', rootZone.coveredHours, 'h'],
    ['root zone, mean', rootZone.meanC, '°C'],
    ['root zone, within its band', rootZone.hoursWithin, 'h'],
    ['root zone, below its band', rootZone.hoursBelow, 'h'],
    ['root zone, below its band', rootZone.degreeHoursBelow, 'K·h'],
    ['root zone, above its band', rootZone.hoursAbove, 'h'],
    ['root zone, above its band', rootZone.degreeHoursAbove, 'K·h'],
    ['air, covered', air.coveredHours, 'h'],
    ['air, mean', air.meanC, '°C'],
    ['air, highest', air.maxC, '°C'],
    ['air, within its band', air.hoursWithin, 'h'],
    ['air, below its band', air.hoursBelow, 'h'],
    ['air, below its band', air.degreeHoursBelow, 'K·h'],
    ['air, above its band', air.hoursAbove, 'h'],
    ['air, above its band', air.degreeHoursAbove, 'K·h'],
    ['air, over its ceiling', air.hoursOverCeiling, 'h'],
    ['air, over its ceiling', air.degreeHoursOverCeiling, 'K·h'],
    ['VPD, mean', vpd.meanKpa, 'kPa'],
    ['VPD, within its band', vpd.hoursWithin, 'h'],
    ['VPD, above its band', vpd.hoursAbove, 'h'],
    ['saturated', saturation.hoursSaturated, 'h'],
    ['leaf-to-air deficit, summed', leafVpd.coveredHours > 0 ? leafVpd.kpaHours : null, 'kPa·h'],
    [
      'light, summed',
      light.days.length === 0 ? null : light.days.reduce((sum, { dliMolM2 }) => sum + dliMolM2, 0),
      'mol/m2',
    ],
    ...Object.entries(harm ?? {}).map(([kind, value]) => [`harm, ${kind}`, value, '1'] as const),
  ];
  return rows.flatMap(([what, value, unit]) =>
    value === null || value === undefined ? [] : [{ ...over, what, value, unit }],
  );
}

function thermalTime({ from, to, thermalTime: { degreeHours } }: BatchReport): Row[] {
  if (degreeHours === null) return [];
  return [{ part: 'thermal time', from, to, what: 'root zone', value: degreeHours, unit: 'K·h' }];
}

function worstHours({ worstHours: hours }: BatchReport): Row[] {
  return hours.flatMap(({ placeId: place, from, to, harm, kinds }) => {
    const row = { part: 'worst hour', from, to, place };
    return [
      { ...row, what: 'harm', value: harm, unit: '1' },
      ...kinds.map(({ kind, peak, unit }) => ({
        ...row,
        what: `${kind}, peak`,
        value: peak,
        ...(unit === null ? {} : { unit }),
      })),
    ];
  });
}

function alarms({ alarms: raisings }: BatchReport): Row[] {
  return raisings.map(
    ({ placeId: place, name, priority, raised, acknowledged, acknowledgedBy, returned }) => ({
      part: 'alarm',
      from: raised,
      to: returned,
      place,
      what: `${name} (${priority})`,
      value: acknowledged === null ? 'not acknowledged' : `acknowledged ${acknowledged}`,
      who: acknowledgedBy,
    }),
  );
}

function diary({ diary: entries }: BatchReport): Row[] {
  return entries.map(({ at: from, to, placeId: place, kind, note: value, by: who }) => {
    return { part: 'diary', from, to, place, what: kind, value, who };
  });
}

function counts({ batch }: BatchReport): Row[] {
  return batch.counts.flatMap(({ at: from, looked, rooted, callused, lost, potted, grades }) => {
    const row = { part: 'count', from };
    return [
      { ...row, what: 'looked at', value: looked },
      { ...row, what: 'rooted', value: rooted },
      ...(callused === null ? [] : [{ ...row, what: 'callused', value: callused }]),
      ...lost.map(({ cause, n }) => ({ ...row, what: `lost: ${cause}`, value: n })),
      ...(potted === null ? [] : [{ ...row, what: 'potted on', value: potted }]),
      ...grades.map(({ grade, n }) => ({ ...row, what: `potted on, grade ${grade}`, value: n })),
    ];
  });
}

function losses({ batch: { strike }, losses: lost }: BatchReport): Row[] {
  const rows: Row[] = lost.map(({ cause, n }) => ({ part: 'cause of losses', what: cause, value: n }));
  if (strike === null) return rows;
  const part = 'strike';
  return [
    ...rows,
    { part, what: 'share rooted', value: strike.share, unit: '1' },
    { part, what: 'share rooted, low end of 95 %', value: strike.low95, unit: '1' },
    { part, what: 'share rooted, high end of 95 %', value: strike.high95, unit: '1' },
  ];
}
