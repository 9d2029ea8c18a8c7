/* Calls every function of the interface and prints what comes back. */

#include <apical.h>
#include <stdio.h>
#include <string.h>

typedef char *(*asked)(const char *, size_t);

static const char *const texts[] = {
    "[\xCB\x88t\xCD\xA1\xCA\x83\xCA\xB0i\xCB\x90z]", /* [ˈt͡ʃʰiːz] */
    "/bed:/",
    "a\xCC\x83" "b", /* ãb, decomposed */
};

int main(void) {
    const asked functions[] = {apical_check, apical_describe};
    if (apical_abi_version() != APICAL_ABI_VERSION) {
        return 1;
    }
    printf("%u %s\n", (unsigned)apical_abi_version(), apical_version());
    for (size_t at = 0; at < 3; at++) {
        printf("%d ", (int)apical_is_valid(texts[at], strlen(texts[at])));
    }
    /* Not UTF-8; nothing at all; no text. */
    printf("%d %d %d\n", (int)apical_is_valid("\xFF", 1), (int)apical_is_valid("", 0),
           (int)apical_is_valid(NULL, 0));
    for (size_t function = 0; function < 2; function++) {
        for (size_t at = 0; at < 3; at++) {
            char *answer = functions[function](texts[at], strlen(texts[at]));
            if (answer == NULL) {
                return 2;
            }
            puts(answer);
            apical_free(answer);
        }
        if (functions[function](NULL, 0) != NULL) {
            return 3;
        }
    }
    apical_free(NULL);
    return 0;
}
