import { z } from 'zod';
import type { Output } from '../model/output.ts';

/** What is answered when a request fails. @source [RFC9457] section 3 */
export const problemSchema = z
  .strictObject({
    type: z.string().describe('where the kind of problem is described, relative to this server'),
    title: z.string().describe('the kind of problem, the same for all of its type'),
    status: z.int().min(400).max(599),
    detail: z.string().describe('what is wrong this time, and what to do'),
    instance: z.string().describe('path of the request'),
    error: z
      .strictObject({
        code: z.string().describe('a fault code, or `internal`'),
        message: z.string().describe('the same as `detail`'),
        details: z.record(z.string(), z.union([z.string(), z.number(), z.boolean(), z.null()])),
      })
      .describe('the fields of version 1'),
  })
  .meta({
    id: 'Problem',
    description: 'Problem details by RFC 9457, with the fields of version 1 beside them.',
  });
export type Problem = Output<typeof problemSchema>;

export const problemTypeSchema = z
  .strictObject({ type: z.string(), code: z.string(), title: z.string(), remedy: z.string() })
  .meta({ id: 'ProblemType', description: 'A kind of problem, and what helps.' });

export const PROBLEM_MEDIA_TYPE = 'application/problem+json';

/** The `type` of a problem. @param code a fault code, or `internal` */
export const problemTypeOf = (code: string) => `/api/v1/problems/${code}`;
