#include "picture/vips/entry.h"

#ifdef _WIN32
#define GREYWRIGHT_EXPORT __declspec(dllexport)
#else
#define GREYWRIGHT_EXPORT __attribute__((visibility("default")))
#endif

extern "C" GREYWRIGHT_EXPORT const greywright::picture::Entry* greywrightPictureEntry() {
    static constexpr greywright::picture::Entry kEntry{
        .lightnessShares = greywright::picture::byVips::lightnessShares,
        .writeGrey16 = greywright::picture::byVips::writeGrey16};
    return &kEntry;
}
