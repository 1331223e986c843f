import { type StorageState, storageState } from '../../record/storage-state.ts';

/** How things stand; asks nobody. */
export const storageNow = (): Promise<StorageState> => storageState(navigator.storage, { ask: false });

/** Asks the browser to keep everything for good; some ask the user. */
export const askToKeep = (): Promise<StorageState> => storageState(navigator.storage);
