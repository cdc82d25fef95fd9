import { Fragment } from 'preact';
import { useState } from 'preact/hooks';
import type { Sheet, SheetStage } from '../../shared/model/cuttings/sheet.ts';
import { AskTable } from '../common/ask.tsx';
import { Scrolling } from '../common/keys/scrolling.tsx';
import { unit } from '../state.ts';
import { FIGURE_GROUPS, type Figure, figureText, sourceTexts } from './figures.ts';

type Chosen = { readonly group: string; readonly figure: Figure; readonly stage: SheetStage };

/** What a sheet wants stage by stage; each figure says where it comes from when it is chosen. */
export function SheetTable({ sheet }: { readonly sheet: Sheet }) {
  const [chosen, setChosen] = useState<Chosen | null>(null);
  const { stages } = sheet;
  return (
    <>
      <p class="quiet">Choose a figure to read where it comes from.</p>
      <AskTable>
        {/* wide tables scroll in their own box */}
        <Scrolling name="Target sheet">
          <table class="sheet-table" data-testid="sheet-table">
            <thead>
              <tr>
                <td />
                {stages.map((stage) => (
                  <th key={stage.id} scope="col">
                    {stage.name}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {FIGURE_GROUPS.map(({ name, figures }) => (
                <Fragment key={name}>
                  <tr>
                    <th class="group" scope="colgroup" colSpan={stages.length + 1}>
                      {name}
                    </th>
                  </tr>
                  {figures.map((figure) => (
                    <FigureRow key={figure.label} {...{ group: name, figure, stages, chosen, setChosen }} />
                  ))}
                </Fragment>
              ))}
            </tbody>
          </table>
        </Scrolling>
      </AskTable>
      <SourceNote chosen={chosen} sheet={sheet} />
    </>
  );
}

type RowProps = Pick<Chosen, 'group' | 'figure'> & {
  readonly stages: readonly SheetStage[];
  readonly chosen: Chosen | null;
  readonly setChosen: (chosen: Chosen) => void;
};

function FigureRow({ group, figure, stages, chosen, setChosen }: RowProps) {
  return (
    <tr>
      <th scope="row">{figure.label}</th>
      {stages.map((stage) => {
        const text = figureText(figure, stage, unit.value);
        if (text === '–') return <td key={stage.id}>{text}</td>;
        const isChosen = chosen?.figure === figure && chosen.stage === stage;
        return (
          <td key={stage.id}>
            <button
              type="button"
              class="ask"
              aria-pressed={isChosen}
              onClick={() => setChosen({ group, figure, stage })}
            >
              {text}
            </button>
          </td>
        );
      })}
    </tr>
  );
}

/** The source of the figure that was chosen, said politely; it stays in sight while the table scrolls. */
function SourceNote({ chosen, sheet }: { readonly chosen: Chosen | null; readonly sheet: Sheet }) {
  return (
    // it scrolls where it is long, so that the keyboard must reach it
    <div
      class={`source-note${chosen ? ' shown' : ''}`}
      role="status"
      data-testid="sheet-source"
      {...(chosen && { tabIndex: 0 })}
    >
      {chosen && (
        <>
          <strong>
            {chosen.group}, {chosen.figure.label}, {chosen.stage.name}:{' '}
            {figureText(chosen.figure, chosen.stage, unit.value)}
          </strong>
          {sourceTexts(chosen.figure, chosen.stage, sheet.sources).map((text) => (
            <p key={text}>{text}</p>
          ))}
        </>
      )}
    </div>
  );
}
