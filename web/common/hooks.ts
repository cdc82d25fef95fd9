import type { RefObject } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { problemWords } from '../api.ts';
import { link } from '../state.ts';
import { keepFocus } from './keep-focus.ts';

/** The width in px of an element, followed as it changes; 0 before the first layout. */
export function useWidth<T extends Element>(): [RefObject<T | null>, number] {
  const ref = useRef<T>(null);
  const [width, setWidth] = useState(0);
  useEffect(() => {
    const element = ref.current;
    if (!element) return;
    const observer = new ResizeObserver(([entry]) => setWidth(Math.floor(entry?.contentRect.width ?? 0)));
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [ref, width];
}

export type Loaded<T> = {
  readonly value: T | null;
  readonly problem: string | null;
  readonly loading: boolean;
};

/** Asks for something and asks again when `key` changes; the last answer stays while a new one is on its way. */
export function useLoaded<T>(key: string, load: () => Promise<T>): Loaded<T> & { reload: () => void } {
  const [state, setState] = useState<Loaded<T>>({ value: null, problem: null, loading: true });
  const [round, setRound] = useState(0);
  useEffect(() => {
    let current = true;
    const settle = (next: Partial<Loaded<T>>) => {
      if (current) setState((before) => ({ ...before, loading: false, ...next }));
    };
    setState((before) => ({ ...before, loading: true }));
    load().then(
      (value) => settle({ value, problem: null }),
      (thrown: unknown) => settle({ problem: problemWords(thrown) }),
    );
    return () => {
      current = false;
    };
  }, [key, round]);
  const live = link.value === 'live';
  useEffect(() => {
    // the daemon is back: what it could not be asked is asked again
    if (live && state.problem !== null) setRound((n) => n + 1);
  }, [live]);
  return { ...state, reload: () => setRound((n) => n + 1) };
}

export type Order = {
  readonly busy: boolean;
  readonly problem: string | null;
  run: (order: () => Promise<unknown>) => Promise<boolean>;
};

/** Gives one order at a time and keeps its result. */
export function useOrder(): Order {
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const run = async (order: () => Promise<unknown>) => {
    const restoreFocus = keepFocus();
    setBusy(true);
    setProblem(null);
    try {
      await order();
      return true;
    } catch (thrown) {
      setProblem(problemWords(thrown));
      return false;
    } finally {
      setBusy(false);
      restoreFocus();
    }
  };
  return { busy, problem, run };
}

/** A value once it has stood still for a moment, as when a slider is let go. */
export function useSettled<T>(value: T, key: string, afterMs: number): T {
  const [settled, setSettled] = useState(value);
  useEffect(() => {
    const wait = setTimeout(() => setSettled(value), afterMs);
    return () => clearTimeout(wait);
  }, [key]);
  return settled;
}

/** As the style sheets have it: a window so narrow is a phone's. */
const NARROW = '(max-width: 40rem)';

/** Whether the window is as narrow as a phone's, followed as it changes. */
export function useNarrow(): boolean {
  const [narrow, setNarrow] = useState(() => matchMedia(NARROW).matches);
  useEffect(() => {
    const query = matchMedia(NARROW);
    const follow = () => setNarrow(query.matches);
    query.addEventListener('change', follow);
    return () => query.removeEventListener('change', follow);
  }, []);
  return narrow;
}
