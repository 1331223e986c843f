import { DataExport } from './data-export.tsx';
import { CopyFolder } from './data-folder.tsx';
import { DataImport } from './data-import.tsx';
import { StorageCard } from './data-storage.tsx';

/** What is kept in this browser: out of it, into it, copies of it, and how safe it is. */
export function DataSettings() {
  return (
    <div class="columns broad">
      <DataExport />
      <DataImport />
      <CopyFolder />
      <StorageCard />
    </div>
  );
}
