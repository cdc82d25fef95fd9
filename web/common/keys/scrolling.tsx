import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';

type Box = HTMLDivElement & HTMLPreElement;
type ScrollingProps = {
  /** what is in it, for who hears the page */
  readonly name: string;
  readonly as?: 'div' | 'pre';
  readonly children: ComponentChildren;
};

function overflows({ scrollWidth, clientWidth, scrollHeight, clientHeight }: Box): boolean {
  return scrollWidth > clientWidth || scrollHeight > clientHeight;
}

/** A box whose content may be larger than it is: while it is, keys reach it, so that it can be scrolled without a pointer. */
export function Scrolling({ name, as: Tag = 'div', children }: ScrollingProps) {
  const ref = useRef<Box>(null);
  const [scrolls, setScrolls] = useState(false);
  useEffect(() => {
    const box = ref.current;
    if (!box) return;
    const look = () => setScrolls(overflows(box));
    const observer = new ResizeObserver(look);
    observer.observe(box);
    // a table inside may grow while the box does not
    if (box.firstElementChild) observer.observe(box.firstElementChild);
    look();
    return () => observer.disconnect();
  }, [children]);
  const reached = scrolls ? ({ tabIndex: 0, role: 'region', 'aria-label': name } as const) : {};
  return (
    <Tag ref={ref} class={Tag === 'div' ? 'wide' : ''} {...reached}>
      {children}
    </Tag>
  );
}
