import './flash-firmware.css';
import { useEffect, useRef, useState } from 'preact/hooks';
import { type CarriedFirmware, loadCarried } from './actions/carried-firmware.ts';
import { flashBoard, giveUpFlashing, leaveFlashing } from './actions/flash-board.ts';
import { presentProgram, STAGES, stageOf, stageWords, toTry } from './flash-words.ts';
import { Glyph } from './glyphs.tsx';
import { type Flashing, useView } from './view.ts';

/** Puts the firmware on a board: the offer, the way, how it ended. */
export function FlashFirmware() {
  const flashing = useView((v) => v.flashing);
  const card = useRef<HTMLElement>(null);
  // The button that was pressed is gone in the next phase: the keyboard stays in the card.
  useEffect(() => {
    if (flashing.phase !== 'idle' && document.activeElement === document.body) card.current?.focus();
  }, [flashing.phase]);
  return (
    <section
      class="card flash"
      aria-label="Put the firmware on"
      tabIndex={-1}
      ref={card}
      data-flashing={flashing.phase}
    >
      <h2>Put the firmware on</h2>
      {flashing.phase === 'idle' && <Offer />}
      {flashing.phase === 'working' && <Working {...flashing} />}
      {flashing.phase === 'done' && <Done {...flashing} />}
      {flashing.phase === 'failed' && <Failed {...flashing} />}
    </section>
  );
}

function Offer() {
  const session = useView((v) => v.session);
  const source = useView((v) => v.source);
  const carried = useCarried();
  const [asking, ask] = useState(false);
  const { words, isOurs } = presentProgram(session, source, carried);
  return (
    <>
      <p data-present={isOurs ? 'ours' : 'unknown'}>{words}</p>
      <p>
        For boards of the Uno and Nano class: an ATmega328P at 16 MHz and 5 V, with the boot loader that such
        boards are sold with. It takes some twenty seconds. Have nothing on the board but the USB cable.
      </p>
      <p class="quiet">
        It replaces the program on the board. Fuses, boot loader and the board’s serial number stay as they
        are; a chip of another kind is refused before anything is written.
      </p>
      {asking ? (
        <Question answer={(yes) => (yes ? void flashBoard() : ask(false))} />
      ) : (
        <div class="row">
          <button
            type="button"
            class="main"
            onClick={() => (isOurs ? void flashBoard() : ask(true))}
            data-action="flash"
          >
            Put the firmware on{carried && ` (${carried.version})`}
          </button>
        </div>
      )}
    </>
  );
}

function Question({ answer }: { readonly answer: (yes: boolean) => void }) {
  const group = useRef<HTMLFieldSetElement>(null);
  useEffect(() => group.current?.focus(), []);
  return (
    <fieldset class="question" tabIndex={-1} ref={group} aria-label="Before it begins">
      <p>Whatever program is on this board now is lost, and the page can’t bring it back. Go on?</p>
      <div class="row acts">
        <button type="button" class="main" onClick={() => answer(true)} data-action="flash-yes">
          Yes, put the firmware on
        </button>
        <button type="button" onClick={() => answer(false)} data-action="flash-no">
          No, leave the board as it is
        </button>
      </div>
    </fieldset>
  );
}

function Working({ step, part }: Extract<Flashing, { phase: 'working' }>) {
  const stage = stageOf[step];
  const at = STAGES.indexOf(stage);
  return (
    <>
      <p class="step" role="status" data-stage={stage}>
        {at + 1} of {STAGES.length}: {stageWords[stage]} …
      </p>
      <progress max={1} value={part ?? undefined} aria-label={stageWords[stage]} />
      <ol class="way">
        {STAGES.map((one, i) => (
          <li
            key={one}
            class={i < at ? 'within' : i > at ? 'quiet' : ''}
            aria-current={i === at ? 'step' : undefined}
          >
            {i < at && <Glyph sign="within" />} {stageWords[one]}
            {i < at && <span class="unseen">, done</span>}
            {i === at && part !== null && <span aria-hidden="true"> {Math.floor(100 * part)} %</span>}
          </li>
        ))}
      </ol>
      <p>
        Leave the cable plugged in and this page open. An interruption breaks nothing: the boot loader stays,
        and the firmware is put on again from the beginning.
      </p>
      {stage !== 'connect' && (
        <div class="row">
          <button type="button" onClick={giveUpFlashing} data-action="flash-give-up">
            Give it up
          </button>
        </div>
      )}
    </>
  );
}

function Done({ report: { chip, bytes, baudRate } }: Extract<Flashing, { phase: 'done' }>) {
  const session = useView((v) => v.session);
  const hello = session.phase === 'live' ? session.hello : null;
  return (
    <>
      <p class="step within" role="status">
        <Glyph sign="within" /> The board is a tester now.
      </p>
      <p>
        {hello && `It introduced itself as ${hello.board} with firmware ${hello.firmware}. `}
        <span class="quiet">
          {chip}: {bytes} bytes written and read back at {baudRate} baud.
        </span>
      </p>
      <p>
        Next: put sensor and lamp in their places and check the light.
        {hello?.serial === '' && ' A serial number of its own it gets in Settings, Boards.'}
      </p>
      <div class="row">
        <button type="button" class="main" onClick={checkTheLight}>
          Check the light
        </button>
        <button type="button" onClick={leaveFlashing} data-action="flash-close">
          Close
        </button>
      </div>
    </>
  );
}

function checkTheLight(): void {
  leaveFlashing();
  location.hash = 'checks';
}

function Failed({ because, sentence }: Extract<Flashing, { phase: 'failed' }>) {
  const hints = toTry[because];
  return (
    <>
      <p class="trouble" role="alert" data-because={because}>
        {sentence}
      </p>
      {hints.length > 0 && (
        <>
          <p>What may help:</p>
          <ul class="plain">
            {hints.map((hint) => (
              <li key={hint}>{hint}</li>
            ))}
          </ul>
        </>
      )}
      <div class="row">
        <button type="button" class="main" onClick={() => void flashBoard()} data-action="flash-again">
          Try again
        </button>
        <button
          type="button"
          onClick={() => void flashBoard({ choose: true })}
          data-action="flash-other-port"
        >
          Try another port
        </button>
        <button type="button" onClick={leaveFlashing} data-action="flash-close">
          Leave it
        </button>
      </div>
    </>
  );
}

/** Null while it is being fetched, or when it can't be. */
function useCarried(): CarriedFirmware | null {
  const [carried, setCarried] = useState<CarriedFirmware | null>(null);
  useEffect(() => {
    let here = true;
    loadCarried().then(
      (loaded) => here && setCarried(loaded),
      () => undefined,
    );
    return () => {
      here = false;
    };
  }, []);
  return carried;
}
