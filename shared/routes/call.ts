import type { AnswerOf, OtherAnswerOf, SentBody, SentParams, SentQuery } from './route.ts';
import type { AllRoutes, KnownRoute } from './routes.ts';

/** Method and path of each route, by its id. */
export type RouteNames = { readonly [Name in KnownRoute as AllRoutes[Name]['id']]: Name };
/** Id of a route that is there: `listPlaces`. */
export type RouteId = keyof RouteNames;
type RouteOf<Id extends RouteId> = AllRoutes[RouteNames[Id]];

/** A part of a request: asked for, or left out where all of it may be, or where the route has none. */
type Part<Key extends string, T> = [T] extends [never]
  ? unknown
  : Record<never, never> extends T
    ? { readonly [K in Key]?: T }
    : { readonly [K in Key]: T };
type Given<T> = Record<never, never> extends T ? [sent?: T] : [sent: T];

/** What the address of a route is made of besides its path. */
export type InAddress<Id extends RouteId> = Given<
  Part<'params', SentParams<RouteNames[Id]>> & Part<'query', SentQuery<RouteOf<Id>>>
>;
/** What is sent with a call of a route. */
export type InCall<Id extends RouteId> = Given<
  Part<'params', SentParams<RouteNames[Id]>> &
    Part<'query', SentQuery<RouteOf<Id>>> &
    Part<'body', SentBody<RouteOf<Id>>>
>;
/** The body that is sent with a call of a route. */
export type BodyOf<Id extends RouteId> = SentBody<RouteOf<Id>>;
/** What a call of a route answers when all went well; undefined where there is nothing to say. */
export type Answered<Id extends RouteId> = AnswerOf<RouteOf<Id>> | OtherAnswerOf<RouteOf<Id>>;
