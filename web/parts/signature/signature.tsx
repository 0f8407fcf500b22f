import { useEffect, useState } from "preact/hooks";
import { editJob } from "../../jobs/jobs";
import type { JobRecord } from "../../jobs/record";
import { day, t } from "../../words/words";

const WIDTH = 640;
const HEIGHT = 220;
const PEN = 4;

/** Name and drawn signature, kept with the job. The name alone is enough for whoever cannot draw. */
export function Signature({ record }: { record: JobRecord }) {
  const [name, setName] = useState(record.signature?.name ?? String(record.job["person"] ?? ""));
  const [strokes, setStrokes] = useState<string[]>([]);
  const kept = record.signature;

  useEffect(() => {
    if (kept) setName(kept.name);
  }, [kept?.when]);

  const at = (event: PointerEvent): string => {
    const box = (event.currentTarget as Element).getBoundingClientRect();
    const across = ((event.clientX - box.left) / box.width) * WIDTH;
    const down = ((event.clientY - box.top) / box.height) * HEIGHT;
    return `${across.toFixed(1)} ${down.toFixed(1)}`;
  };

  const keep = async (): Promise<void> => {
    await editJob(record, {
      signature: { name: name.trim(), data_url: strokes.length === 0 ? "" : drawn(strokes), when: today() },
    });
    setStrokes([]);
  };

  if (kept)
    return (
      <div class="signature">
        {kept.data_url && <img src={kept.data_url} alt={t("signature_of", { name: kept.name })} />}
        <p>{t("signed", { name: kept.name, day: day(kept.when) })}</p>
        <button type="button" class="quiet" onClick={() => void editJob(record, { signature: null })}>
          {t("signature_remove")}
        </button>
      </div>
    );

  return (
    <form
      class="signature"
      onSubmit={(event) => {
        event.preventDefault();
        if (name.trim()) void keep();
      }}
    >
      <label for="signature-name">{t("your_name")}</label>
      <input
        id="signature-name"
        type="text"
        autocomplete="name"
        value={name}
        onInput={(event) => setName(event.currentTarget.value)}
      />
      <p id="signature-how">{t("sign_here")}</p>
      <svg
        class="pad"
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={t("sign_here")}
        onPointerDown={(event) => {
          event.currentTarget.setPointerCapture(event.pointerId);
          const point = at(event);
          setStrokes((before) => [...before, `M${point}l0 0`]);
        }}
        onPointerMove={(event) => {
          if (event.buttons === 0) return;
          const point = at(event);
          setStrokes((before) => [...before.slice(0, -1), `${before.at(-1) ?? `M${point}`}L${point}`]);
        }}
      >
        {strokes.map((stroke, index) => (
          <path key={index} d={stroke} />
        ))}
      </svg>
      <div class="row">
        <button type="submit" class="main">
          {t("signature_keep")}
        </button>
        {strokes.length !== 0 && (
          <button type="button" class="quiet" onClick={() => setStrokes([])}>
            {t("clear")}
          </button>
        )}
      </div>
    </form>
  );
}

function today(): string {
  const now = new Date();
  const two = (part: number): string => String(part).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** The strokes as a small picture that any report can hold. */
function drawn(strokes: string[]): string {
  const canvas = document.createElement("canvas");
  canvas.width = WIDTH;
  canvas.height = HEIGHT;
  const pen = canvas.getContext("2d");
  if (!pen) return "";
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, WIDTH, HEIGHT);
  pen.lineWidth = PEN;
  pen.lineCap = "round";
  pen.lineJoin = "round";
  for (const stroke of strokes) pen.stroke(new Path2D(stroke));
  return canvas.toDataURL("image/png");
}
