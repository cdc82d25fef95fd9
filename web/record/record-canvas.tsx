import type { RefObject } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { RecordChart, RecordPicture } from '../charts/record.ts';
import type { View } from '../common/plot.ts';
import { nowMs } from '../state.ts';
import { type Fingers, panned, pinched, STEP_FACTOR, zoomed } from './zoom.ts';

const LEAST_DRAG_PX = 6;
/** A wheel that turns so far across moves the view by its whole length. */
const WHEEL_PX = 1_000;

type CanvasProps = {
  readonly picture: RecordPicture;
  readonly choose: (chosen: View | null) => void;
  readonly point: (atMs: number | null) => void;
  readonly show: (view: View) => void;
  /** the moment that is pointed at, on whatever chart */
  readonly pointedMs: number | null;
  readonly canvas: RefObject<HTMLCanvasElement | null>;
};

/** The chart on a canvas; the chart library comes with the first one shown. */
function useChart(picture: RecordPicture, canvas: RefObject<HTMLCanvasElement | null>) {
  const chart = useRef<RecordChart | null>(null);
  const [phase, setPhase] = useState<'coming' | 'ready' | 'failed'>('coming');
  useEffect(() => {
    let current = true;
    const dark = matchMedia('(prefers-color-scheme: dark)');
    const recolour = () => chart.current?.recolour();
    import('../charts/record.ts').then(
      ({ recordChart }) => {
        if (!current || !canvas.current) return;
        chart.current = recordChart(canvas.current);
        setPhase('ready');
      },
      () => setPhase('failed'),
    );
    dark.addEventListener('change', recolour);
    return () => {
      current = false;
      dark.removeEventListener('change', recolour);
      chart.current?.destroy();
      chart.current = null;
    };
  }, []);
  useEffect(() => {
    if (phase === 'ready') chart.current?.show(picture);
  }, [phase, picture]);
  return { canvas, chart, failed: phase === 'failed' };
}

/** What a turn of the wheel does: with Ctrl, or once the chart was clicked, closer or wider; across, along. */
function wheeled(event: WheelEvent, { view, atMs, hasWheel }: Turn): View | null {
  const at = nowMs.peek();
  if (Math.abs(event.deltaX) > Math.abs(event.deltaY))
    return panned(view, { share: event.deltaX / WHEEL_PX, nowMs: at });
  if (event.shiftKey) return panned(view, { share: event.deltaY / WHEEL_PX, nowMs: at });
  // the page must still scroll under a pointer that only passes over the chart
  if (!hasWheel && !event.ctrlKey && !event.metaKey) return null;
  const factor = STEP_FACTOR ** (Math.sign(event.deltaY) * Math.min(1, Math.abs(event.deltaY) / 100));
  return zoomed(view, { factor, atMs, nowMs: at });
}
type Turn = { readonly view: View; readonly atMs: number; readonly hasWheel: boolean };

/** The pointers that touch the chart, and the view when the second came. */
function usePinch(picture: RecordPicture) {
  const touching = useRef(new Map<number, number>());
  const begun = useRef<{ readonly view: View; readonly at: Fingers } | null>(null);
  const fingers = (widthPx: number): Fingers | null => {
    const [one, two] = [...touching.current.values()];
    return one === undefined || two === undefined ? null : [one / widthPx, two / widthPx];
  };
  return {
    down(id: number, px: number, widthPx: number): void {
      touching.current.set(id, px);
      const at = fingers(widthPx);
      begun.current = at && { view: picture.view, at };
    },
    /** the view under two fingers; null while there are fewer */
    moved(id: number, px: number, widthPx: number): View | null {
      if (!touching.current.has(id)) return null;
      touching.current.set(id, px);
      const at = fingers(widthPx);
      return at && begun.current ? pinched(begun.current.view, begun.current.at, at, nowMs.peek()) : null;
    },
    up(id: number): void {
      touching.current.delete(id);
      begun.current = null;
    },
    count: () => touching.current.size,
  };
}

type Wheel = Pick<CanvasProps, 'picture' | 'show'> & {
  readonly timeOf: (px: number) => number;
  readonly hasWheel: RefObject<boolean>;
};

function useWheel(
  canvas: RefObject<HTMLCanvasElement | null>,
  { picture, show, timeOf, hasWheel }: Wheel,
): void {
  useEffect(() => {
    const turn = (event: WheelEvent) => {
      const at = { view: picture.view, atMs: timeOf(event.offsetX), hasWheel: hasWheel.current ?? false };
      const view = wheeled(event, at);
      if (!view) return;
      event.preventDefault();
      show(view);
    };
    // a listener that may keep the page from scrolling must say so
    canvas.current?.addEventListener('wheel', turn, { passive: false });
    return () => canvas.current?.removeEventListener('wheel', turn);
  }, [picture, show]);
}

/**
 * The canvas of the record: a drag across it chooses a span, two fingers and the wheel move the view and change its
 * length.
 */
export function RecordCanvas({ picture, choose, point, show, pointedMs, canvas: given }: CanvasProps) {
  const { canvas, chart, failed } = useChart(picture, given);
  /** a click on the chart gives it the wheel until the pointer leaves it */
  const hasWheel = useRef(false);
  const dragFromPx = useRef<number | null>(null);
  const pinch = usePinch(picture);
  const timeOf = (px: number) => {
    const atMs = chart.current?.timeAt(px) ?? picture.view.fromMs;
    return Math.min(picture.view.toMs, Math.max(picture.view.fromMs, atMs));
  };
  const spanTo = (px: number): View | null => {
    const from = dragFromPx.current;
    if (from === null || Math.abs(px - from) < LEAST_DRAG_PX) return null;
    const [a, b] = [timeOf(from), timeOf(px)];
    return { fromMs: Math.min(a, b), toMs: Math.max(a, b) };
  };
  useWheel(canvas, { picture, show, timeOf, hasWheel });
  const crossPx = pointedMs === null ? null : (chart.current?.pixelAt(pointedMs) ?? null);
  return (
    <div class="chart-size">
      {failed && (
        <p class="problem">The drawing could not be fetched. The table below has the same numbers.</p>
      )}
      <canvas
        ref={canvas}
        role="img"
        aria-label="Air and root zone against their bands, and air VPD below, on one time axis. The table of the record has the same numbers."
        onPointerDown={(event) => {
          const { offsetX, pointerId, currentTarget } = event;
          hasWheel.current = true;
          pinch.down(pointerId, offsetX, currentTarget.clientWidth);
          dragFromPx.current = pinch.count() === 1 ? offsetX : null;
          currentTarget.setPointerCapture(pointerId);
        }}
        onPointerMove={(event) => {
          const { offsetX, pointerId, currentTarget } = event;
          point(timeOf(offsetX));
          const view = pinch.moved(pointerId, offsetX, currentTarget.clientWidth);
          if (view) {
            show(view);
            return;
          }
          const chosen = spanTo(offsetX);
          if (chosen) choose(chosen);
        }}
        onPointerUp={(event) => {
          if (pinch.count() === 1 && dragFromPx.current !== null && spanTo(event.offsetX) === null)
            choose(null);
          pinch.up(event.pointerId);
          dragFromPx.current = null;
        }}
        onPointerCancel={(event) => {
          pinch.up(event.pointerId);
          dragFromPx.current = null;
        }}
        onPointerLeave={() => {
          hasWheel.current = false;
          point(null);
        }}
      />
      {crossPx !== null && <i class="crosshair" style={{ left: `${crossPx}px` }} aria-hidden="true" />}
    </div>
  );
}
