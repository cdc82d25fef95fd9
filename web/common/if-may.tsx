import type { ComponentChildren } from 'preact';
import type { RouteId } from '../../shared/routes/call.ts';
import { may } from '../settings/access.ts';

type IfMayProps = {
  /** what its use asks the interface for, by the id in its table: `startDemo` */
  readonly route: RouteId;
  readonly children: ComponentChildren;
};

/** Shows what gives an order to those alone who may give it. */
export function IfMay({ route, children }: IfMayProps) {
  return may(route) ? children : null;
}
