#include "profile/check.h"

#include <algorithm>
#include <map>
#include <random>

#include <gtest/gtest.h>

#include "profile/bytes.h"
#include "profile/read_back.h"
#include "profile/sample.h"

namespace greywright::profile {
namespace {

void set(std::string& bytes, std::size_t at, std::uint32_t number, int count = 4) {
    for (int i = count - 1; i >= 0; --i, number >>= 8U) {
        bytes[at + static_cast<std::size_t>(i)] = static_cast<char>(number & 0xFFU);
    }
}

/// Where a tag's entry stands in the table, and its content in the profile.
std::size_t entryOf(const std::string& bytes, std::string_view tag) {
    for (std::size_t at = 132; at < 132 + 12 * Bytes(bytes).u32(128); at += 12) {
        if (bytes.substr(at, 4) == tag) return at;
    }
    ADD_FAILURE() << tag;
    return 132;
}
std::uint32_t contentOf(const std::string& bytes, std::string_view tag) {
    return Bytes(bytes).u32(entryOf(bytes, tag) + 4);
}

std::string grey(Version version) {
    return *greyProfile(sampleResponse(), sampleDescription(), version);
}
std::string rgb(Version version) {
    return *rgbProfile(sampleResponse(), sampleTable(), sampleDescription(), version);
}
std::string link(Version version) {
    return *deviceLink(sampleTable(), sampleDescription(), version);
}

/// Whether a check of damaged bytes finds `code` at `where`, and what it finds if not.
::testing::AssertionResult finds(const std::string& bytes, const std::string& code,
                                 const std::string& where) {
    std::string all;
    for (const Finding& finding : check(bytes)) {
        if (finding.code == code && finding.where == where) return ::testing::AssertionSuccess();
        all += finding.where + ": " + finding.code + "; ";
    }
    return ::testing::AssertionFailure() << code << " at " << where << " is not among: " << all;
}

struct Damage {
    const char* code;
    const char* where;
    void (*inflict)(std::string&);
};

TEST(Check, FindsDamageOfTheHeader) {
    const std::vector<Damage> damages{
        {"size-differs", "header", [](std::string& b) { b += std::string(4, '\0'); }},
        {"size-not-aligned", "header", [](std::string& b) { b += '\0'; }},
        {"version-unknown", "header", [](std::string& b) { b[8] = 5; }},
        {"version-unknown", "header", [](std::string& b) { b[9] = 0x50; }},
        {"version-unknown", "header", [](std::string& b) { b[11] = 1; }},
        {"class-unknown", "header", [](std::string& b) { b[12] = 'x'; }},
        {"space-unknown", "header", [](std::string& b) { b[16] = 'x'; }},
        {"connection-unknown", "header", [](std::string& b) { b.replace(20, 4, "RGB "); }},
        {"moment-out-of-range", "header", [](std::string& b) { b[27] = 13; }},
        {"moment-out-of-range", "header", [](std::string& b) { b[31] = 24; }},
        {"signature-missing", "header", [](std::string& b) { b[36] = 'A'; }},
        {"platform-unknown", "header", [](std::string& b) { b[40] = 'x'; }},
        {"reserved-not-zero", "header", [](std::string& b) { b[47] = 8; }},
        {"reserved-not-zero", "header", [](std::string& b) { b[62] = 1; }},
        {"intent-unknown", "header", [](std::string& b) { b[67] = 4; }},
        {"illuminant-not-d50", "header", [](std::string& b) { b[70] = 0; }},
        {"id-differs", "header", [](std::string& b) { b[90] = static_cast<char>(b[90] ^ 1); }},
        {"reserved-not-zero", "header", [](std::string& b) { b[127] = 1; }},
        {"profile-too-short", "header", [](std::string& b) { b.resize(131); }},
    };
    for (const Damage& damage : damages) {
        std::string bytes = grey(Version::v4);
        damage.inflict(bytes);
        EXPECT_TRUE(finds(bytes, damage.code, damage.where));
    }
    std::string old = grey(Version::v2);
    old[90] = 1;
    EXPECT_TRUE(finds(old, "reserved-not-zero", "header"));
}

TEST(Check, FindsDamageOfTheTagTable) {
    const std::vector<Damage> damages{
        {"table-empty", "table", [](std::string& b) { set(b, 128, 0); }},
        {"table-too-long", "table", [](std::string& b) { set(b, 128, 0x7FFFFFFF); }},
        {"table-too-long", "table", [](std::string& b) { b.resize(140); }},
        {"tag-twice", "A2B0", [](std::string& b) { b.replace(entryOf(b, "A2B2"), 4, "A2B0"); }},
        {"tag-missing", "gamt", [](std::string& b) { b[entryOf(b, "gamt")] = 'x'; }},
        {"tag-missing", "wtpt", [](std::string& b) { b[entryOf(b, "wtpt")] = 'x'; }},
        {"tag-missing", "desc", [](std::string& b) { b[entryOf(b, "desc")] = 'x'; }},
        {"tag-not-aligned", "wtpt",
         [](std::string& b) { set(b, entryOf(b, "wtpt") + 4, contentOf(b, "wtpt") + 2); }},
        {"tag-outside", "wtpt", [](std::string& b) { set(b, entryOf(b, "wtpt") + 4, 0xFFFFFFFC); }},
        {"tag-outside", "wtpt", [](std::string& b) { set(b, entryOf(b, "wtpt") + 8, 0xFFFFFFFF); }},
        {"tag-outside", "wtpt", [](std::string& b) { set(b, entryOf(b, "wtpt") + 4, 128); }},
        {"tag-overlaps", "tech", [](std::string& b) { set(b, entryOf(b, "wtpt") + 8, 32); }},
        {"gap-between-tags", "tech", [](std::string& b) { set(b, entryOf(b, "wtpt") + 8, 12); }},
        {"gap-between-tags", "table", [](std::string& b) { b += std::string(4, '\0'); }},
        {"tag-too-short", "wtpt", [](std::string& b) { set(b, entryOf(b, "wtpt") + 8, 4); }},
    };
    for (const Damage& damage : damages) {
        std::string bytes = grey(Version::v4);
        damage.inflict(bytes);
        EXPECT_TRUE(finds(bytes, damage.code, damage.where));
    }
    std::string needy = link(Version::v4);
    needy[entryOf(needy, "pseq")] = 'x';
    EXPECT_TRUE(finds(needy, "tag-missing", "pseq"));
}

TEST(Check, FindsDamageInsideTagsOfVersionTwo) {
    const std::vector<Damage> damages{
        {"type-not-allowed", "kTRC", [](std::string& b) { b.replace(contentOf(b, "kTRC"), 4, "para"); }},
        {"type-not-allowed", "desc", [](std::string& b) { b.replace(contentOf(b, "desc"), 4, "mluc"); }},
        {"reserved-not-zero", "kTRC", [](std::string& b) { b[contentOf(b, "kTRC") + 7] = 1; }},
        {"tag-too-short", "kTRC", [](std::string& b) { set(b, contentOf(b, "kTRC") + 8, 0xFFFFFFFF); }},
        {"tag-too-long", "kTRC", [](std::string& b) { set(b, contentOf(b, "kTRC") + 8, 5); }},
        {"tag-too-long", "wtpt", [](std::string& b) { set(b, entryOf(b, "wtpt") + 8, 32); }},
        {"text-not-ended", "cprt", [](std::string& b) { set(b, entryOf(b, "cprt") + 8, 20); }},
        {"text-ends-early", "cprt", [](std::string& b) { b[contentOf(b, "cprt") + 10] = 0; }},
        {"text-not-ascii", "cprt", [](std::string& b) { b[contentOf(b, "cprt") + 10] = '\xE9'; }},
        {"text-not-ascii", "desc", [](std::string& b) { b[contentOf(b, "desc") + 14] = '\xE9'; }},
        {"text-ends-early", "desc", [](std::string& b) { b[contentOf(b, "desc") + 14] = 0; }},
        {"tag-too-short", "desc", [](std::string& b) { set(b, contentOf(b, "desc") + 8, 1000000); }},
        {"channels-differ", "A2B0", [](std::string& b) { b[contentOf(b, "A2B0") + 9] = 4; }},
        {"channels-differ", "B2A1", [](std::string& b) { b[contentOf(b, "B2A1") + 8] = 4; }},
        {"value-out-of-range", "A2B0", [](std::string& b) { b[contentOf(b, "A2B0") + 8] = 0; }},
        {"value-out-of-range", "A2B0", [](std::string& b) { b[contentOf(b, "A2B0") + 10] = 1; }},
        {"reserved-not-zero", "A2B0", [](std::string& b) { b[contentOf(b, "A2B0") + 11] = 1; }},
        {"matrix-not-identity", "A2B0", [](std::string& b) { b[contentOf(b, "A2B0") + 13] = 2; }},
        {"value-out-of-range", "A2B0", [](std::string& b) { set(b, contentOf(b, "A2B0") + 48, 4097, 2); }},
        {"value-out-of-range", "A2B0", [](std::string& b) { set(b, contentOf(b, "A2B0") + 50, 1, 2); }},
        {"tag-too-short", "gamt", [](std::string& b) { b[contentOf(b, "gamt") + 10] = '\xFF'; }},
        {"tag-too-long", "tech", [](std::string& b) { set(b, entryOf(b, "tech") + 8, 16); }},
    };
    for (const Damage& damage : damages) {
        std::string bytes = grey(Version::v2);
        damage.inflict(bytes);
        EXPECT_TRUE(finds(bytes, damage.code, damage.where));
    }
    std::string sequence = link(Version::v2);
    set(sequence, contentOf(sequence, "pseq") + 8, 3);
    EXPECT_TRUE(finds(sequence, "part-outside", "pseq"));
    sequence = link(Version::v2);
    set(sequence, contentOf(sequence, "pseq") + 8, 1);
    EXPECT_TRUE(finds(sequence, "tag-too-long", "pseq"));
}

TEST(Check, FindsDamageInsideTagsOfVersionFour) {
    const std::vector<Damage> damages{
        {"type-not-allowed", "cprt", [](std::string& b) { b.replace(contentOf(b, "cprt"), 4, "text"); }},
        {"value-out-of-range", "desc", [](std::string& b) { b[contentOf(b, "desc") + 15] = 13; }},
        {"value-out-of-range", "desc", [](std::string& b) { b[contentOf(b, "desc") + 23] ^= 1; }},
        {"part-outside", "desc", [](std::string& b) { set(b, contentOf(b, "desc") + 24, 0xFFFFFFF0); }},
        {"tag-too-short", "desc", [](std::string& b) { set(b, contentOf(b, "desc") + 8, 0xFFFF); }},
        {"type-not-allowed", "A2B0", [](std::string& b) { b.replace(contentOf(b, "A2B0"), 4, "mBA "); }},
        {"channels-differ", "A2B0", [](std::string& b) { b[contentOf(b, "A2B0") + 8] = 4; }},
        {"value-out-of-range", "A2B0", [](std::string& b) { b[contentOf(b, "A2B0") + 9] = 16; }},
        {"reserved-not-zero", "A2B0", [](std::string& b) { b[contentOf(b, "A2B0") + 11] = 1; }},
        {"parts-missing", "A2B0", [](std::string& b) { set(b, contentOf(b, "A2B0") + 12, 0); }},
        {"parts-missing", "A2B0", [](std::string& b) { set(b, contentOf(b, "A2B0") + 28, 0); }},
        {"part-outside", "A2B0", [](std::string& b) { set(b, contentOf(b, "A2B0") + 12, 8); }},
        {"part-outside", "A2B0", [](std::string& b) { set(b, contentOf(b, "A2B0") + 28, 0xFFFFFFF0); }},
        {"part-outside", "A2B0", [](std::string& b) { set(b, contentOf(b, "A2B0") + 24, 0xFFFFFFF0); }},
        {"part-not-aligned", "A2B0", [](std::string& b) { b[contentOf(b, "A2B0") + 31] ^= 1; }},
        {"part-outside", "A2B0", [](std::string& b) { set(b, contentOf(b, "A2B0") + 16, 0xFFFFFFF0); }},
        {"value-out-of-range", "B2A0",
         [](std::string& b) { b[contentOf(b, "B2A0") + Bytes(b).u32(contentOf(b, "B2A0") + 24)] = 1; }},
        {"reserved-not-zero", "B2A0",
         [](std::string& b) { b[contentOf(b, "B2A0") + Bytes(b).u32(contentOf(b, "B2A0") + 24) + 3] = 1; }},
        {"value-out-of-range", "B2A0",
         [](std::string& b) { b[contentOf(b, "B2A0") + Bytes(b).u32(contentOf(b, "B2A0") + 24) + 16] = 3; }},
    };
    for (const Damage& damage : damages) {
        std::string bytes = rgb(Version::v4);
        damage.inflict(bytes);
        EXPECT_TRUE(finds(bytes, damage.code, damage.where));
    }
}

/// A profile of one more tag, put at the end of a sound one of version 4.
std::string withTag(std::string_view tag, const std::string& content) {
    const std::string sound = link(Version::v4);
    const std::uint32_t count = Bytes(sound).u32(128);
    const std::size_t tableEnd = 132 + 12 * count;
    std::string bytes =
        sound.substr(0, tableEnd) + std::string(tag) + std::string(8, '\0') + sound.substr(tableEnd);
    set(bytes, 128, count + 1);
    for (std::size_t entry = 132; entry < tableEnd; entry += 12)
        set(bytes, entry + 4, Bytes(bytes).u32(entry + 4) + 12);
    set(bytes, tableEnd + 4, static_cast<std::uint32_t>(bytes.size()));
    set(bytes, tableEnd + 8, static_cast<std::uint32_t>(content.size()));
    bytes += content;
    bytes.append((4 - bytes.size() % 4) % 4, '\0');
    set(bytes, 0, static_cast<std::uint32_t>(bytes.size()));
    std::fill_n(bytes.begin() + 84, 16, '\0');
    return bytes;
}

std::string content(std::string_view type, std::initializer_list<std::uint32_t> words) {
    std::string out(type);
    out.append(4, '\0');
    for (const std::uint32_t word : words) {
        out.append(4, '\0');
        set(out, out.size() - 4, word);
    }
    return out;
}

// Types that this module does not write itself: one sound and one broken example of each.
TEST(Check, KnowsTheOtherTypes) {
    struct Example {
        const char* tag;
        std::string sound;
        std::string broken;
        const char* code;
    };
    const std::string name(32, 'n');
    const std::vector<Example> examples{
        {"kTRC", content("para", {0, 0x10000}), content("para", {5U << 16U, 0x10000}), "value-out-of-range"},
        {"kTRC", content("para", {1U << 16U, 1, 2, 3}), content("para", {1U << 16U, 1, 2}), "tag-too-short"},
        {"calt", content("dtim", {0x07EA0001, 0x00010000, 0}), content("dtim", {0x07EA000D, 0x00010000, 0}),
         "value-out-of-range"},
        {"chad", content("sf32", {1, 0, 0, 0, 1, 0, 0, 0, 1}), content("sf32", {1, 0, 0}),
         "value-out-of-range"},
        {"chrm", content("chrm", {0x00010000, 1, 2}), content("chrm", {0x00020000, 1, 2}), "tag-too-short"},
        {"cicp", content("cicp", {0x01020001}), content("cicp", {0x01020002}), "value-out-of-range"},
        {"clro", content("clro", {4, 0x00010203}), content("clro", {5, 0x00010203}), "tag-too-short"},
        {"clrt", content("clrt", {1}) + "Black" + std::string(33, '\0'),
         content("clrt", {1}) + name + std::string(6, '\0'), "text-not-ended"},
        {"psd0", content("data", {0}) + std::string("x\0", 2), content("data", {2, 0}), "value-out-of-range"},
        {"meas", content("meas", {1, 0, 0, 0, 0, 0, 1}), content("meas", {1}), "tag-too-short"},
        {"view", content("view", {1, 0, 0, 0, 0, 0, 1}), content("view", {1}), "tag-too-short"},
        {"ncl2", content("ncl2", {0, 0, 1}) + std::string(64, '\0'),
         content("ncl2", {0, 9, 1}) + std::string(64, '\0'), "tag-too-short"},
        {"psid", content("psid", {0}), content("psid", {1, 999, 16}), "part-outside"},
        {"meta", content("dict", {0, 16}), content("dict", {1, 16, 999, 4, 0, 0}), "part-outside"},
        {"meta", content("dict", {0, 32}), content("dict", {0, 17}), "value-out-of-range"},
        {"D2B0", content("mpet", {0x00010003, 1, 24, 4, 0}), content("mpet", {0x00010003, 1, 999, 4}),
         "part-outside"},
        {"D2B0", content("mpet", {0x00010003, 1, 24, 4, 0}), content("mpet", {0x00020003, 1, 24, 4, 0}),
         "channels-differ"},
        {"A2B1",
         content("mft1", {0x01030200, 0x10000, 0, 0, 0, 0x10000, 0, 0, 0, 0x10000}) +
             std::string(256 + 6 + 768, 'x'),
         content("mft1", {0x01030200, 0x10000, 0, 0, 0, 0x10000, 0, 0, 0, 0x10000}) +
             std::string(256 + 6, 'x'),
         "tag-too-short"},
        {"resp", content("rcs2", {0}), content("rcs2", {}), "tag-too-short"},
        {"xABC", content("priv", {1, 2, 3}), "abc", "tag-too-short"},
        {"scrn", content("scrn", {0, 1, 1, 2, 3}), content("scrn", {0, 2, 1, 2, 3}), "tag-too-short"},
    };
    for (const Example& example : examples) {
        const auto findings = check(withTag(example.tag, example.sound));
        EXPECT_TRUE(findings.empty())
            << example.tag << " " << findings.size() << " " << findings[0].where << ": " << findings[0].what;
        EXPECT_TRUE(finds(withTag(example.tag, example.broken), example.code, example.tag));
    }
}

// Any bytes may be given, to the check and to the reader.
TEST(Check, NeverFailsOnMutatedBytes) {
    std::mt19937 random{20260314};
    const auto below = [&random](std::size_t limit) {
        return std::uniform_int_distribution<std::size_t>(0, limit - 1)(random);
    };
    std::size_t unsound = 0;
    std::size_t runs = 0;
    for (const Version version : {Version::v2, Version::v4}) {
        for (const std::string& sound : {grey(version), rgb(version), link(version)}) {
            for (int i = 0; i < 300; ++i, ++runs) {
                std::string bytes = sound;
                for (std::size_t times = 1 + below(4); times > 0; --times) {
                    // Half of the damage where structure is: header, tag table and the heads of tags.
                    const std::size_t tag = 132 + 12 * below(Bytes(sound).u32(128));
                    const std::size_t at = below(2) == 0   ? below(bytes.size())
                                           : below(2) == 0 ? below(132 + 12 * 12)
                                                           : Bytes(sound).u32(tag + 4) + below(64);
                    if (at >= bytes.size()) continue;
                    if (below(8) == 0) {
                        bytes.resize(at);
                        break;
                    }
                    bytes[at] = below(3) == 0 ? '\xFF' : static_cast<char>(below(256));
                }
                if (!check(bytes).empty()) ++unsound;
                const std::vector<double> device{0.5, 0.5, 0.5};
                (void)readBack(bytes, device, Intent::absolute);
            }
        }
    }
    EXPECT_EQ(runs, 1800U);
    // Version 4 finds every change by its ID; in version 2 the inside of a curve may take any value.
    EXPECT_GT(unsound, 1200U);
}

}  // namespace
}  // namespace greywright::profile
