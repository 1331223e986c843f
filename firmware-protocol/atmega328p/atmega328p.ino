// The usual IDE wants a file of the folder's name. The program is in the .c files beside it; tester.c holds main().
// Choose the board "Uno", or "Nano" with the boot loader that fits, and upload.
