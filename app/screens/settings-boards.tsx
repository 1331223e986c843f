import { useState } from 'preact/hooks';
import type { Hello } from '../../firmware-protocol/messages.ts';
import type { DateStyle, KnownBoard } from '../record/preferences.ts';
import { setBoardSerial } from './actions/connection.ts';
import { isEntryOf } from './actions/known-boards.ts';
import { dayText } from './day-text.ts';
import { FlashFirmware } from './flash-firmware.tsx';
import { SamplingRateSettings } from './settings-rate.tsx';
import { useView } from './view.ts';

/** Boards that were connected here, what their last checks found, and a name for the one that is connected. */
export function BoardSettings() {
  const boards = useView((v) => v.boards);
  const session = useView((v) => v.session);
  const source = useView((v) => v.source);
  const dates = useView((v) => v.preferences.papers.dates);
  const hello = session.phase === 'live' && (source === 'serial' || source === 'usb') ? session.hello : null;
  return (
    <>
      <section class="card below">
        <h2>Known boards</h2>
        {boards.length === 0 ? (
          <p class="quiet">
            No board has been connected here yet. The practice board is not noted: it has no light of its own.
          </p>
        ) : (
          <div class="scrolls">
            <table data-table="boards">
              <thead>
                <tr>
                  <th scope="col">serial number</th>
                  <th scope="col" class="left">
                    board and firmware
                  </th>
                  <th scope="col" class="left">
                    last connected
                  </th>
                  <th scope="col" class="left">
                    clock
                  </th>
                  <th scope="col" class="left">
                    light check
                  </th>
                  <th scope="col" class="left">
                    reference light
                  </th>
                </tr>
              </thead>
              <tbody>
                {boards.map((board) => (
                  <BoardRow
                    key={`${board.serial} ${board.board} ${board.image}`}
                    board={board}
                    here={hello !== null && isEntryOf(hello, board)}
                    dates={dates}
                  />
                ))}
              </tbody>
            </table>
          </div>
        )}
      </section>
      <SamplingRateSettings />
      <FlashFirmware />
      {hello ? (
        <SerialNumber key={hello.serial} hello={hello} />
      ) : (
        <p class="quiet">Connect a board to give it a serial number of your own.</p>
      )}
    </>
  );
}

interface RowProps {
  readonly board: KnownBoard;
  readonly here: boolean;
  readonly dates: DateStyle;
}

function BoardRow({ board, here, dates }: RowProps) {
  const { clock, lightCheck, referenceLight } = board;
  return (
    <tr data-board-serial={board.serial}>
      <th scope="row">
        {board.serial || 'none set'}
        {here && <div class="quiet">connected</div>}
      </th>
      <td class="left words">
        {board.board}
        <div class="quiet">
          firmware {board.firmware}, image {board.image}
        </div>
      </td>
      <td class="left">{dayText(board.lastSeen, dates)}</td>
      <td class="left words">
        {clock ? (
          <>
            {ppmWords(clock.correction.ppm)} ± {clock.correction.uncertainty.toFixed(1)} ppm
            <div class="quiet">{dayText(clock.at, dates)}</div>
          </>
        ) : (
          <span class="quiet">not compared</span>
        )}
      </td>
      <td class="left words">
        {lightCheck ? (
          <>
            {lightCheck.problems === 0
              ? 'passed'
              : `${lightCheck.problems} ${lightCheck.problems === 1 ? 'problem' : 'problems'}`}
            <div class="quiet">{dayText(lightCheck.at, dates)}</div>
          </>
        ) : (
          <span class="quiet">not made</span>
        )}
      </td>
      <td class="left words">
        {referenceLight ? (
          <>
            {referenceLight.passed ? 'passed' : 'not passed'}
            <div class="quiet">{dayText(referenceLight.at, dates)}</div>
          </>
        ) : (
          <span class="quiet">not made</span>
        )}
      </td>
    </tr>
  );
}

const ppmWords = (ppm: number) => `${ppm < 0 ? '−' : '+'}${Math.abs(ppm).toFixed(1)}`;

/** What the board can keep: printable ASCII, up to 8 characters. */
const KEEPABLE = /^[\x21-\x7e](?:[\x20-\x7e]{0,6}[\x21-\x7e])?$/;

function SerialNumber({ hello }: { hello: Hello }) {
  const [text, setText] = useState(hello.serial);
  const [said, say] = useState<{ readonly words: string; readonly trouble: boolean } | null>(null);
  const [busy, setBusy] = useState(false);
  const set = async (event: Event) => {
    event.preventDefault();
    const serial = text.trim();
    if (serial !== '' && !KEEPABLE.test(serial)) {
      say({
        words: 'The board keeps up to 8 plain letters, digits and signs, without accents.',
        trouble: true,
      });
      return;
    }
    setBusy(true);
    try {
      await setBoardSerial(serial);
      say({
        words: serial === '' ? 'The board has no serial number now.' : `The board is number ${serial} now.`,
        trouble: false,
      });
    } catch (error) {
      say({ words: `The number was not set. ${(error as Error).message}`, trouble: true });
    } finally {
      setBusy(false);
    }
  };
  return (
    <section class="card">
      <h2>Serial number of the connected board</h2>
      <p class="quiet">
        The board keeps it itself, whatever computer it is on, and each firing carries it. Give each of your
        boards its own; write it on the board as well.
      </p>
      <form class="row" onSubmit={(e) => void set(e)}>
        <label>
          <span class="unseen">serial number</span>
          <input
            value={text}
            maxLength={8}
            size={10}
            onInput={(e) => setText(e.currentTarget.value)}
            data-field="board-serial"
          />
        </label>
        <button type="submit" disabled={busy || text.trim() === hello.serial} data-action="set-serial">
          Keep it in the board
        </button>
      </form>
      <p role="status" class={said?.trouble ? 'trouble' : ''}>
        {said?.words}
      </p>
    </section>
  );
}
