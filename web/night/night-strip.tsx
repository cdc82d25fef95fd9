import {
  type Block,
  fullLayout,
  type Layout,
  LINE_LAYOUT,
  type Part,
  percentAt,
  type Ribbon,
  reachPx,
  type Strip,
} from '../../shared/night/strip.ts';
import type { View } from '../common/plot.ts';
import { clockTicks } from '../common/time.ts';

const pct = (value: number) => `${value.toFixed(3)}%`;

/** In a line the whole half of a ribbon is hatched; in a full row the area beside it, which is the dose. */
function blockBox(block: Block, { y, heightPx }: Ribbon, isFull: boolean) {
  if (!isFull) return { y: block.side === 'above' ? y - 1 : y + 1, height: heightPx };
  const reach = reachPx(block);
  return { y: block.side === 'above' ? y - reach : y + heightPx, height: reach };
}

function Hole({ part, heightPx }: { part: Part; heightPx: number }) {
  const [left, right] = [pct(part.from), pct(part.from + part.width)];
  return (
    <g class="hole">
      <rect x={left} y={0} width={pct(part.width)} height={heightPx} />
      <line x1={left} x2={left} y1={0} y2={heightPx} />
      <line x1={right} x2={right} y1={0} y2={heightPx} />
    </g>
  );
}

type StripProps = {
  readonly strip: Strip;
  readonly view: View;
  readonly timeZone: string;
  readonly full: boolean;
};

/** A night on one line: each layer a flat ribbon, hatched where it was beyond its limit, cut where nothing was read. */
export function NightStrip({ strip, view, timeZone, full }: StripProps) {
  const layout: Layout = full ? fullLayout(strip.blocks) : LINE_LAYOUT;
  const { heightPx } = layout;
  return (
    <svg class="night-strip" width="100%" height={heightPx} aria-hidden="true">
      {strip.nights.map(({ from, width }) => (
        <rect key={from} class="night" x={pct(from)} y={0} width={pct(width)} height={heightPx} />
      ))}
      {layout.ribbons.map(({ lane, y, heightPx: thick }) => (
        <rect key={lane} class={`ribbon ${lane}`} x={0} y={y} width="100%" height={thick} />
      ))}
      {clockTicks({ ...view, timeZone, everyHours: 3 }).map(({ atMs }) => {
        const x = pct(percentAt(atMs, view));
        return <line key={atMs} class="hour" x1={x} x2={x} y1={0} y2={heightPx} />;
      })}
      {strip.holes.map((part) => (
        <Hole key={part.from} part={part} heightPx={heightPx} />
      ))}
      {strip.blocks.map((block, i) => {
        const ribbon = layout.ribbons.find(({ lane }) => lane === block.lane);
        if (!ribbon) return null;
        const box = blockBox(block, ribbon, full);
        return (
          <rect
            key={i}
            class={`excursion ${block.side}`}
            x={pct(block.from)}
            width={pct(block.width)}
            {...box}
          />
        );
      })}
    </svg>
  );
}

/** The hours above all strips. */
export function NightAxis({ view, timeZone }: { readonly view: View; readonly timeZone: string }) {
  return (
    <svg class="night-axis" width="100%" height={18} aria-hidden="true">
      {clockTicks({ ...view, timeZone, everyHours: 3 }).map(({ atMs, label }) => {
        const at = percentAt(atMs, view);
        const anchor = at < 3 ? 'start' : at > 97 ? 'end' : 'middle';
        return (
          <text key={atMs} x={pct(at)} y={14} text-anchor={anchor}>
            {label}
          </text>
        );
      })}
    </svg>
  );
}
