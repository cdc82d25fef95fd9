import { useEffect, useRef, useState } from 'preact/hooks';
import type { RecordChart, RecordPicture } from '../charts/record.ts';
import type { View } from '../common/plot.ts';

const LEAST_DRAG_PX = 6;

type CanvasProps = {
  readonly picture: RecordPicture;
  readonly choose: (chosen: View | null) => void;
  readonly point: (atMs: number | null) => void;
};

/** The chart on a canvas; the chart library comes with the first one shown. */
function useChart(picture: RecordPicture) {
  const canvas = useRef<HTMLCanvasElement>(null);
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

/** The canvas of the record: a drag across it chooses a span. */
export function RecordCanvas({ picture, choose, point }: CanvasProps) {
  const { canvas, chart, failed } = useChart(picture);
  const dragFromPx = useRef<number | null>(null);
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
          dragFromPx.current = event.offsetX;
          event.currentTarget.setPointerCapture(event.pointerId);
        }}
        onPointerMove={(event) => {
          point(timeOf(event.offsetX));
          const chosen = spanTo(event.offsetX);
          if (chosen) choose(chosen);
        }}
        onPointerUp={(event) => {
          if (spanTo(event.offsetX) === null) choose(null);
          dragFromPx.current = null;
        }}
        onPointerCancel={() => {
          dragFromPx.current = null;
        }}
        onPointerLeave={() => point(null)}
      />
    </div>
  );
}
