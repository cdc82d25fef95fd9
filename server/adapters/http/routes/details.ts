import type { Router } from 'express';
import { z } from 'zod';
import { Fault } from '../../../../shared/faults.ts';
import { LIMIT_RULES } from '../../../../shared/rules/rules.ts';
import { trialSchema } from '../../../../shared/wire/trial.ts';
import type { Orders, Queries, ThermalLimits } from '../../../ports.ts';
import { readBody, readInstant, readSpan } from './read.ts';

/** A vent as it is logged by hand; times in RFC 3339, read by `readInstant`. */
export const ventRequestSchema = z.strictObject({
  from: z.string(),
  to: z.string().nullable().default(null),
  note: z.string().trim().max(200).nullable().default(null),
});

/** Mist, vents and thermal time of one place. */
export function detailRoutes(
  routes: Router,
  { queries, orders }: { queries: Queries; orders: Orders },
): void {
  routes.get('/:id/mist', ({ params, query }, response) => {
    response.json(queries.mist(params.id, readSpan(query)));
  });
  routes.get('/:id/vents', ({ params, query }, response) => {
    response.json(queries.vents(params.id, readSpan(query)));
  });
  routes.post('/:id/vents', ({ params, body }, response) => {
    const { from, to, note } = readBody(ventRequestSchema, body);
    const toMs = to === null ? null : readInstant('to', to);
    const entry = orders.logVent(params.id, { fromMs: readInstant('from', from), toMs, note });
    response.status(201).json({ id: entry.id });
  });
  routes.delete('/:id/vents/:ventId', ({ params }, response) => {
    orders.removeVent(params.id, Number(params.ventId));
    response.status(204).end();
  });
  routes.get('/:id/alarms/past', ({ params, query }, response) => {
    response.json(queries.tryOnPast(params.id, readPast(query)));
  });
  routes.get('/:id/thermal-time', ({ params, query }, response) => {
    response.json(queries.thermalTime(params.id, { ...readSpan(query), ...readThermalLimits(query) }));
  });
}

/**
 * The limits of thermal time in a query, °C: `baseC` with `upperC`, or with `optimumC` and `stopC`.
 * @throws Fault `bad-request`
 */
export function readThermalLimits(query: Readonly<Record<string, unknown>>): ThermalLimits {
  const read = (name: string) => readTemperature(name, query[name]);
  const falls = query['optimumC'] !== undefined || query['stopC'] !== undefined;
  if (!falls) return { baseC: read('baseC'), upperC: read('upperC') };
  if (query['upperC'] === undefined)
    return { baseC: read('baseC'), optimumC: read('optimumC'), stopC: read('stopC') };
  const message = '"upperC" does not go with "optimumC" and "stopC": give the one or the others.';
  throw new Fault({ code: 'bad-request', message, details: { field: 'upperC' } });
}

/** A rule to try on the past of a place, the span, and what is tried; left out is what the place has. */
function readPast(query: Readonly<Record<string, unknown>>) {
  const { rule: name, from: _from, to: _to, ...rest } = query;
  const rule = LIMIT_RULES.find((known) => known === name);
  if (rule) return { rule, span: readSpan(query), trial: readBody(trialSchema, rest) };
  const message = `"rule" must be one of ${LIMIT_RULES.join(', ')}.`;
  throw new Fault({ code: 'bad-request', message, details: { field: 'rule' } });
}

function readTemperature(name: string, value: unknown): number {
  const temperatureC = typeof value === 'string' && value.trim() !== '' ? Number(value) : Number.NaN;
  if (temperatureC >= -30 && temperatureC <= 60) return temperatureC;
  const message = `"${name}" must be a temperature from -30 to 60 °C.`;
  throw new Fault({ code: 'bad-request', message, details: { field: name } });
}
