import { z } from 'zod';
import type { Output } from '../model/output.ts';

const lastHourSchema = z
  .strictObject({
    name: z.string().describe('what is drawn'),
    unit: z.string(),
    decimals: z.number(),
    from: z.string(),
    to: z.string(),
    points: z.array(z.strictObject({ t: z.string(), value: z.number().nullable() })),
    limit: z
      .strictObject({ value: z.number(), sense: z.enum(['above', 'below']) })
      .nullable()
      .describe('the limit, and which side of it harms'),
  })
  .meta({
    id: 'LastHour',
    description: 'What an alarm rests on over an hour; a gap is a point with `null`.',
  });
export type LastHour = Output<typeof lastHourSchema>;

export const linkAboutSchema = z
  .strictObject({
    state: z.string(),
    rest: z.string().describe('priority, since when, and what else there is to say of its state'),
    detail: z.string(),
    action: z.string(),
    lastHour: lastHourSchema.nullable(),
    people: z.array(z.string()).describe('who was called, who has answered, and who comes next, a line each'),
    at: z.string(),
    timeZone: z.string(),
  })
  .meta({
    id: 'LinkAbout',
    description: 'The alarm a link is about, as it is now; words are ready to read, times in RFC 3339.',
  });
export type LinkAbout = Output<typeof linkAboutSchema>;
