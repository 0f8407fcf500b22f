import { useEffect, useState } from "preact/hooks";
import { onJobChange } from "../../jobs/changes";
import { addPhoto, photosOf, removePhoto } from "../../jobs/photos";
import { newId, type Photo } from "../../jobs/record";
import { offerUndo, say } from "../../session/notices";
import { t } from "../../words/words";

const LONGEST_SIDE = 1600;
const JPEG_QUALITY = 0.8;

/** The photo scaled down on the phone, so that it takes little room and no camera data goes with it. */
async function scaled(file: File): Promise<ArrayBuffer> {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg", JPEG_QUALITY));
  if (!blob) throw new Error("no picture came out of the canvas");
  return blob.arrayBuffer();
}

/** A photo as text, for the report. */
export async function dataUrl(photo: Photo): Promise<string> {
  return new Promise((done) => {
    const reader = new FileReader();
    reader.onload = () => done(String(reader.result));
    reader.readAsDataURL(new Blob([photo.bytes], { type: photo.type }));
  });
}

function Thumbnail({ photo }: { photo: Photo }) {
  const [address, setAddress] = useState("");
  useEffect(() => {
    const made = URL.createObjectURL(new Blob([photo.bytes], { type: photo.type }));
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [photo.id]);
  return (
    <li class="photo">
      {address && <img src={address} alt={t("photo_named", { name: photo.name })} />}
      <button
        type="button"
        class="quiet"
        onClick={() => {
          void removePhoto(photo);
          offerUndo({ text: t("photo_removed"), act: () => void addPhoto(photo) });
        }}
      >
        {t("remove")} <span class="hidden">{photo.name}</span>
      </button>
    </li>
  );
}

/** The photos of one checklist line, and the way to add one. */
export function Photos({
  job_id,
  check,
  title,
  photos,
}: {
  job_id: string;
  check: string;
  title: string;
  photos: Photo[];
}) {
  const [problem, setProblem] = useState("");
  const mine = photos.filter((photo) => photo.check === check);
  const add = async (files: FileList | null): Promise<void> => {
    setProblem("");
    for (const file of Array.from(files ?? [])) {
      try {
        const bytes = await scaled(file);
        await addPhoto({
          id: newId(),
          job_id,
          check,
          name: file.name,
          type: "image/jpeg",
          bytes,
        });
        say(t("photo_added"));
      } catch {
        setProblem(t("photo_unreadable", { name: file.name }));
      }
    }
  };
  return (
    <div class="photos">
      {mine.length !== 0 && (
        <ul>
          {mine.map((photo) => (
            <Thumbnail key={photo.id} photo={photo} />
          ))}
        </ul>
      )}
      <label class="button quiet">
        <input
          type="file"
          accept="image/*"
          multiple
          class="hidden"
          onChange={(event) => {
            const field = event.currentTarget;
            void add(field.files).then(() => {
              field.value = "";
            });
          }}
        />
        <span>
          {t("add_photo")}
          <span class="hidden">: {title}</span>
        </span>
      </label>
      {problem && (
        <p class="field-error" role="alert">
          {problem}
        </p>
      )}
    </div>
  );
}

/** All photos of a job, fresh after every change. */
export function usePhotos(job_id: string): Photo[] {
  const [photos, setPhotos] = useState<Photo[]>([]);
  useEffect(() => {
    let live = true;
    const load = (): void =>
      void photosOf(job_id).then(
        (found) => {
          if (live) setPhotos(found);
        },
        // The storage's trouble is said; what is shown stays.
        () => undefined,
      );
    load();
    const stop = onJobChange((changed) => {
      if (changed === job_id || changed === null) load();
    });
    return () => {
      live = false;
      stop();
    };
  }, [job_id]);
  return photos;
}
