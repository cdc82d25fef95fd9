import type { ComponentChildren } from 'preact';
import { may } from '../settings/access.ts';

type IfMayProps = {
  /** what its use asks the interface for, as its document names it: `post /api/v1/demo` */
  readonly route: string;
  readonly children: ComponentChildren;
};

/** Shows what gives an order to those alone who may give it. */
export function IfMay({ route, children }: IfMayProps) {
  return may(route) ? children : null;
}
