#include "identity.h"

#include <avr/eeprom.h>
#include <avr/pgmspace.h>
#include <string.h>

/* From the linker: where the initial values of variables, the last part of the image, end in program memory. */
extern const char __data_load_end[];

/* EEPROM from address 0: the serial number and its CRC-16. */
#define STORED_SIZE (SERIAL_SIZE + 2)

static uint8_t to_store[STORED_SIZE];
static uint8_t stored = STORED_SIZE;

uint32_t identity_image(void)
{
    uint32_t crc = 0xffffffffUL;
    uint16_t end = (uint16_t)(uintptr_t)__data_load_end;
    uint16_t address;
    for (address = 0; address != end; address++) {
        uint8_t step;
        crc ^= pgm_read_byte(address);
        for (step = 8; step; step--)
            crc = crc & 1 ? crc >> 1 ^ 0xedb88320UL : crc >> 1;
    }
    return ~crc;
}

static uint16_t check_value(const uint8_t *serial)
{
    uint16_t crc = 0xffff;
    uint8_t i;
    for (i = 0; i < SERIAL_SIZE; i++)
        crc = crc16_update(crc, serial[i]);
    return (uint16_t)~crc;
}

void identity_read_serial(char serial[SERIAL_SIZE])
{
    uint8_t bytes[STORED_SIZE];
    eeprom_read_block(bytes, (const void *)0, STORED_SIZE);
    if (check_value(bytes) == (uint16_t)(bytes[SERIAL_SIZE] | bytes[SERIAL_SIZE + 1] << 8)
        && is_text(bytes, SERIAL_SIZE))
        memcpy(serial, bytes, SERIAL_SIZE);
    else
        memset(serial, 0, SERIAL_SIZE);
}

void identity_store_serial(const char serial[SERIAL_SIZE])
{
    uint16_t crc;
    memcpy(to_store, serial, SERIAL_SIZE);
    crc = check_value(to_store);
    to_store[SERIAL_SIZE] = (uint8_t)crc;
    to_store[SERIAL_SIZE + 1] = (uint8_t)(crc >> 8);
    stored = 0;
}

uint8_t identity_step(void)
{
    if (!eeprom_is_ready())
        return 0;
    if (stored < STORED_SIZE) {
        uint8_t *address = (uint8_t *)(uintptr_t)stored;
        /* Cells wear out by writing: what is there already stays. */
        if (eeprom_read_byte(address) != to_store[stored])
            eeprom_write_byte(address, to_store[stored]);
        stored++;
        return 0;
    }
    return 1;
}
