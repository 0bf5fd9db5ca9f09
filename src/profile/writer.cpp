#include "profile/writer.h"

#include <algorithm>
#include <cmath>
#include <ranges>

#include <lcms2_plugin.h>

#include "core/said.h"
#include "profile/check.h"
#include "profile/texts.h"

namespace greywright::profile {
namespace {

// One more than a multiple of 257, so that L* = 100 of version 2 (256/257 of the range) falls on a node.
constexpr cmsUInt32Number kNodes = 257 * 8 + 1;
constexpr double kFull = 65535;

constexpr std::size_t kHeaderBytes = 128;
constexpr std::size_t kModuleAt = 4;
constexpr std::size_t kMomentAt = 24;
constexpr std::size_t kPlatformAt = 40;
constexpr std::size_t kFlagsAt = 44;
constexpr std::size_t kIntentAt = 64;
constexpr std::size_t kCreatorAt = 80;
constexpr std::size_t kIdAt = 84;
constexpr std::size_t kIdBytes = 16;

cmsUInt16Number word(double fraction) {
    return static_cast<cmsUInt16Number>(std::lround(std::clamp(fraction, 0.0, 1.0) * kFull));
}

void clear(std::string& bytes, std::size_t at, std::size_t count) {
    std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(at), count, '\0');
}

Error failure(std::string code, std::string what) {
    return {
        .kind = ErrorKind::cannotWrite,
        .code = std::move(code),
        .what = std::move(what),
        .next = said(
            "This is a fault of the program or of its colour library; please report it with the readings")};
}

}  // namespace

std::string profileIdOf(std::string_view bytes) {
    std::string blank(bytes);
    clear(blank, kFlagsAt, 4);
    clear(blank, kIntentAt, 4);
    clear(blank, kIdAt, kIdBytes);
    const ContextHandle context = newContext();
    cmsHANDLE digest = cmsMD5alloc(context.get());
    cmsMD5add(digest, reinterpret_cast<const cmsUInt8Number*>(blank.data()),
              static_cast<cmsUInt32Number>(blank.size()));
    cmsProfileID id{};
    cmsMD5finish(&id, digest);
    return {reinterpret_cast<const char*>(id.ID8), kIdBytes};
}

std::array<double, 3> encoded(const colour::Lab& lab, Version version) {
    if (version == Version::v2) {
        return {lab.L / 100 * 65280 / kFull, (lab.a + 128) * 256 / kFull, (lab.b + 128) * 256 / kFull};
    }
    return {lab.L / 100, (lab.a + 128) / 255, (lab.b + 128) / 255};
}

double lightnessOf(double encodedL, Version version) {
    return encodedL * 100 * (version == Version::v2 ? kFull / 65280 : 1);
}

Writer::Writer(cmsProfileClassSignature kind, cmsColorSpaceSignature space, cmsColorSpaceSignature connection,
               Version version)
    : profile_(cmsCreateProfilePlaceholder(context_.get())), version_(version) {
    cmsSetProfileVersion(profile_.get(), version == Version::v2 ? 2.4 : 4.4);
    cmsSetDeviceClass(profile_.get(), kind);
    cmsSetColorSpace(profile_.get(), space);
    cmsSetPCS(profile_.get(), connection);
    cmsSetHeaderRenderingIntent(profile_.get(), INTENT_PERCEPTUAL);
}

void Writer::write(cmsTagSignature tag, const void* data) {
    if (data == nullptr || !cmsWriteTag(profile_.get(), tag, data)) failed_ = true;
}

void Writer::writeRaw(cmsTagSignature tag, std::string_view raw) {
    if (!cmsWriteRawTag(profile_.get(), tag, raw.data(), static_cast<cmsUInt32Number>(raw.size())))
        failed_ = true;
}

void Writer::description(const Description& description) {
    const auto unicode = [](const std::string& utf8) { return utf16From(utf8).value_or(u""); };
    if (version_ == Version::v2) {
        writeRaw(cmsSigProfileDescriptionTag, textDescription(unicode(description.name)));
        text(cmsSigCopyrightTag, asciiFrom(unicode(description.copyright)));
        return;
    }
    const auto localised = [&](cmsTagSignature tag, const std::string& utf8) {
        const std::u16string units = unicode(utf8);
        const std::wstring wide(units.begin(), units.end());
        const TextHandle mlu(cmsMLUalloc(context_.get(), 1));
        if (!cmsMLUsetWide(mlu.get(), "en", "US", wide.c_str())) failed_ = true;
        write(tag, mlu.get());
    };
    localised(cmsSigProfileDescriptionTag, description.name);
    localised(cmsSigCopyrightTag, description.copyright);
}

void Writer::text(cmsTagSignature tag, const std::string& ascii) {
    const TextHandle mlu(cmsMLUalloc(context_.get(), 1));
    if (!cmsMLUsetASCII(mlu.get(), cmsNoLanguage, cmsNoCountry, ascii.c_str())) failed_ = true;
    write(tag, mlu.get());
}

CurveHandle Writer::sampled(const std::function<double(double)>& f) const {
    if (!f) {
        const std::array<cmsUInt16Number, 2> straight{0, 0xFFFF};
        return CurveHandle(cmsBuildTabulatedToneCurve16(context_.get(), 2, straight.data()));
    }
    std::vector<cmsUInt16Number> nodes;
    for (cmsUInt32Number i = 0; i < kNodes; ++i) nodes.push_back(word(f(double(i) / (kNodes - 1))));
    return CurveHandle(cmsBuildTabulatedToneCurve16(context_.get(), kNodes, nodes.data()));
}

cmsStage* Writer::stageOf(const std::vector<std::function<double(double)>>& curves, std::size_t count) const {
    std::vector<CurveHandle> owners;
    std::vector<cmsToneCurve*> borrowed;
    for (std::size_t i = 0; i < count; ++i) {
        owners.push_back(sampled(i < curves.size() ? curves[i] : std::function<double(double)>{}));
        borrowed.push_back(owners.back().get());
    }
    return cmsStageAllocToneCurves(context_.get(), static_cast<cmsUInt32Number>(count), borrowed.data());
}

void Writer::curve(cmsTagSignature tag, const std::function<double(double)>& f) {
    write(tag, sampled(f).get());
}

void Writer::curves(cmsTagSignature tag, const Curves& curves) {
    const auto in = static_cast<cmsUInt32Number>(curves.channelsIn);
    const auto out = static_cast<cmsUInt32Number>(curves.channelsOut);
    std::vector<cmsUInt16Number> cube;
    for (std::size_t node = 0; node < std::size_t{1} << curves.channelsIn; ++node) {
        std::array<int, 3> corner{};  // the first channel varies slowest
        for (std::size_t c = 0; c < curves.channelsIn; ++c) {
            corner[c] = static_cast<int>(node >> (curves.channelsIn - 1 - c) & 1U);
        }
        cube.insert(cube.end(), curves.channelsOut, word(curves.corner(corner)));
    }
    const PipelineHandle pipeline(cmsPipelineAlloc(context_.get(), in, out));
    for (cmsStage* stage : {stageOf(curves.in, curves.channelsIn),
                            cmsStageAllocCLut16bit(context_.get(), 2, in, out, cube.data()),
                            stageOf(curves.out, curves.channelsOut)}) {
        if (stage == nullptr || !cmsPipelineInsertStage(pipeline.get(), cmsAT_END, stage)) failed_ = true;
    }
    write(tag, pipeline.get());
}

void Writer::link(cmsTagSignature tag, cmsTagSignature of) {
    if (!cmsLinkTag(profile_.get(), tag, of)) failed_ = true;
}

void Writer::mediaWhite(const std::array<double, 3>& xyz) {
    const cmsCIEXYZ white{xyz[0], xyz[1], xyz[2]};
    write(cmsSigMediaWhitePointTag, &white);
}

void Writer::inkjet() {
    const cmsSignature technology = cmsSigInkJetPrinter;
    write(cmsSigTechnologyTag, &technology);
}

void Writer::sequence() {
    constexpr cmsUInt32Number kProfiles = 2;
    if (version_ == Version::v2) {
        // lcms2 pads each text to four bytes, and then cannot read what it wrote.
        std::string raw("pseq\0\0\0\0\0\0\0\2", 12);
        for (const std::string_view technology :
             {std::string_view("\0\0\0\0", 4), std::string_view("ijet")}) {
            raw.append(16, '\0');  // manufacturer, model, attributes
            raw += technology;
            raw += textDescription(u"") + textDescription(u"");
        }
        return writeRaw(cmsSigProfileSequenceDescTag, raw);
    }
    const SequenceHandle sequence(cmsAllocProfileSequenceDescription(context_.get(), kProfiles));
    if (sequence) sequence->seq[1].technology = cmsSigInkJetPrinter;
    write(cmsSigProfileSequenceDescTag, sequence.get());
}

Result<std::string> Writer::bytes(const Moment& made) {
    cmsUInt32Number size = 0;
    if (failed_ || !cmsSaveProfileToMem(profile_.get(), nullptr, &size) || size < kHeaderBytes) {
        return failure("profile-not-written", said("The colour library did not take a part of the profile"));
    }
    std::string out(size, '\0');
    if (!cmsSaveProfileToMem(profile_.get(), out.data(), &size)) {
        return failure("profile-not-written", said("The colour library did not write the profile"));
    }
    // The library puts in the clock, its own name and the operating system's.
    clear(out, kModuleAt, 4);
    clear(out, kPlatformAt, 4);
    clear(out, kCreatorAt, 4);
    const std::array<int, 6> parts{made.year, made.month, made.day, made.hour, made.minute, made.second};
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const auto part = static_cast<unsigned>(parts[i]);
        out[kMomentAt + 2 * i] = static_cast<char>(part >> 8U);
        out[kMomentAt + 2 * i + 1] = static_cast<char>(part & 0xFFU);
    }
    if (version_ == Version::v4) out.replace(kIdAt, kIdBytes, profileIdOf(out));
    if (const auto findings = check(out); !findings.empty()) {
        return failure("profile-unsound", findings.front().where + ": " + findings.front().what);
    }
    return out;
}

}  // namespace greywright::profile
