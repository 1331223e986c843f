/** Of the File System Access draft (WICG), which not every browser has: absent from the DOM library. */
interface FileSystemHandlePermissionDescriptor {
  readonly mode: 'read' | 'readwrite';
}

interface FileSystemHandle {
  queryPermission(descriptor: FileSystemHandlePermissionDescriptor): Promise<PermissionState>;
  requestPermission(descriptor: FileSystemHandlePermissionDescriptor): Promise<PermissionState>;
}

interface Window {
  showDirectoryPicker(options: {
    readonly id: string;
    readonly mode: 'read' | 'readwrite';
  }): Promise<FileSystemDirectoryHandle>;
}
