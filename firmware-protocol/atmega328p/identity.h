/* Who this board is: its own serial number, kept in EEPROM, and the check value of the program it runs. */
#ifndef IDENTITY_H
#define IDENTITY_H

#include <stdint.h>

#include "wire.h"

/* CRC-32 (ISO-HDLC) of the program memory from address 0 to the end of the image. Takes about 50 ms. */
uint32_t identity_image(void);
/* Reads the serial number; all zeros if none was set or its check value is wrong. */
void identity_read_serial(char serial[SERIAL_SIZE]);
/* Begins to store a serial number; identity_step() does the work, a byte every 3.4 ms. */
void identity_store_serial(const char serial[SERIAL_SIZE]);
/* Returns 1 once everything is stored. To be called all the time. */
uint8_t identity_step(void);

#endif
