#include "picture/vips/entry.h"

#ifdef _WIN32
#define GREYWRIGHT_EXPORT __declspec(dllexport)
#else
#define GREYWRIGHT_EXPORT __attribute__((visibility("default")))
#endif

extern "C" GREYWRIGHT_EXPORT const greywright::picture::Entry* greywrightPictureEntry(
    greywright::Translation translation) {
    greywright::sayBy(translation);
    static constexpr greywright::picture::Entry kEntry{
        .lightnessShares = greywright::picture::byVips::lightnessShares,
        .readReduced = greywright::picture::byVips::readReduced,
        .xyzFromCodes = greywright::picture::byVips::xyzFromCodes,
        .profileOf = greywright::picture::byVips::profileOf,
        .channelsOfProfile = greywright::picture::byVips::channelsOfProfile,
        .writePixels = greywright::picture::byVips::writePixels,
        .prepare = greywright::picture::byVips::prepare,
        .greyShares = greywright::picture::byVips::greyShares};
    return &kEntry;
}
