import type { z } from 'zod';
import type { Output } from '../model/output.ts';
import type { Role } from '../model/people/roles.ts';

/** Whom a route answers: `anyone` needs no account. */
export type Needed = Role | 'anyone';

const METHODS = ['get', 'put', 'post', 'patch', 'delete'] as const;
export type Method = (typeof METHODS)[number];
/** Method and path, as the OpenAPI document names them; parameters of the path in braces. */
type RouteName = `${Method} /${string}`;

/** One route: what it takes and what it answers. Router, roles, OpenAPI and the page's client follow from it. */
export type Route = {
  /** operationId: stays when the path changes */
  readonly id: string;
  readonly role: Needed;
  readonly summary: string;
  /** it changes who may, or shows a secret: the password is asked for again, unless it was given of late */
  readonly confirmed?: true;
  /** parameters of the path that are no plain text; the words of their error say where they are listed */
  readonly params?: Readonly<Record<string, z.ZodType<unknown, string | number>>>;
  readonly query?: z.ZodObject;
  /** JSON */
  readonly body?: z.ZodType;
  /** media types of a body that is taken as it comes */
  readonly uploads?: readonly string[];
  /** JSON; without one and without `media` there is nothing to say: 204 */
  readonly answer?: z.ZodType;
  /** media types of an answer that is no JSON, or need not be: it is written by what answers the route */
  readonly media?: readonly string[];
  /** media types of an answer that says what was wrong, where it is no problem details */
  readonly faultMedia?: readonly string[];
  /** texts that are sent once the connection was upgraded to a websocket; without the upgrade the answer is 426 */
  readonly frames?: z.ZodType;
  /** of the answer when all went well; 200 unless stated */
  readonly status?: 201 | 202;
  /** other answers, by their status */
  readonly others?: Readonly<Record<number, z.ZodType>>;
};

export type Routes = Readonly<Record<RouteName, Route>>;

type ParamNames<Name extends string> = Name extends `${string}{${infer First}}${infer Rest}`
  ? First | ParamNames<Rest>
  : never;

/** Parameters of the path as a caller gives them: texts, or numbers that are written as one; never for none. */
export type SentParams<Name extends string> = [ParamNames<Name>] extends [never]
  ? never
  : { readonly [P in ParamNames<Name>]: string | number };

export type ReadParams<Name extends string, R> = {
  readonly [P in ParamNames<Name>]: R extends { params: Readonly<Record<P, infer S extends z.ZodType>> }
    ? z.output<S>
    : string;
};

export type ReadQuery<R> = R extends { query: infer Q extends z.ZodType } ? z.output<Q> : unknown;
/** The query as a caller gives it, null for what is left out; never for none. */
export type SentQuery<R> = R extends { query: infer Q extends z.ZodType }
  ? { readonly [K in keyof z.input<Q>]: z.input<Q>[K] | null }
  : never;
export type ReadBody<R> = R extends { body: infer B extends z.ZodType } ? z.output<B> : undefined;
/** The body as a caller gives it; never for none. */
export type SentBody<R> = R extends { body: infer B extends z.ZodType } ? ReadonlyInput<z.input<B>> : never;
export type AnswerOf<R> = R extends { answer: infer A extends z.ZodType } ? Output<A> : undefined;
/** Answers of other statuses that say that it went well so far: 202 where more is asked for. */
export type OtherAnswerOf<R> = R extends { others: { readonly 202: infer A extends z.ZodType } }
  ? Output<A>
  : never;

type ReadonlyInput<T> = T extends object ? { readonly [K in keyof T]: ReadonlyInput<T[K]> } : T;
