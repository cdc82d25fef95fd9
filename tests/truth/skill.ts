import { parseArgs } from 'node:util';
import { historyOf, ROOMS, type Room } from './skill/house.ts';
import { noticesGiven } from './skill/notices.ts';
import { scoreOf } from './skill/score.ts';

const { values } = parseArgs({
  options: {
    seed: { type: 'string', default: '20261130' },
    first: { type: 'string', default: '3' },
    to: { type: 'string', default: '47' },
  },
});
const seed = Number(values.seed);
const write = (line: string) => process.stdout.write(`${line.trimEnd()}\n`);

write(
  `open record of a house, 14 February to 31 March 2016, days ${values.first} to ${values.to}, seed ${seed}; errors in K`,
);
write(
  '| room | min ahead | forecast | as now | straight line | error of "as now" cut by | in the 80 % interval |',
);
write('|---|---|---|---|---|---|---|');
const started = process.hrtime.bigint();
let made = 0;
const notices: string[] = [];
for (const room of Object.keys(ROOMS) as Room[]) {
  const history = historyOf(room, { from: 0, to: Number(values.to) });
  const firstDay = Number(values.first);
  const given = noticesGiven(history, firstDay);
  const score = scoreOf(history, { firstDay, seed, each: given.listen });
  made += score.forecasts;
  for (const { horizonMin, maeK, persistenceMaeK, lineMaeK, gain, gain95, coverage } of score.horizons) {
    const errors = [maeK, persistenceMaeK, lineMaeK].map((mae) => mae.toFixed(3)).join(' | ');
    const cut = `${gain.toFixed(2)} (${gain95.map((bound) => bound.toFixed(2)).join(' to ')})`;
    write(`| ${room} | ${horizonMin} | ${errors} | ${cut} | ${(coverage * 100).toFixed(0)} % |`);
  }
  const { ceilingC, record } = given.outcome();
  const lead = record.medianLeadMin === null ? '–' : `${record.medianLeadMin.toFixed(0)} min`;
  notices.push(
    `| ${room} | ${(score.shownShare * 100).toFixed(0)} % | ${ceilingC.toFixed(1)} °C | ${record.hits} | ${record.misses} | ${record.wrong} | ${lead} |`,
  );
}
write('');
write('| room | days shown | ceiling set for this | notices that came true | missed | wrong | median lead |');
write('|---|---|---|---|---|---|---|');
for (const line of notices) write(line);
write(`${made} forecasts in ${Number((process.hrtime.bigint() - started) / 1_000_000n)} ms`);
