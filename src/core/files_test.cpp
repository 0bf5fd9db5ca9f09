#include "core/files.h"

#include <filesystem>
#include <fstream>

#include <gtest/gtest.h>

#include "testing/near.h"
#include "testing/temporary_folder.h"

namespace greywright {
namespace {

using testing::succeeded;
using testing::TemporaryFolder;

TEST(Files, WhatIsWrittenIsReadBackByteForByte) {
    const TemporaryFolder folder;
    const std::string bytes("a\r\n\0\xff", 5);
    ASSERT_TRUE(succeeded(writeWholeFile(folder / "x.bin", bytes)));
    const auto back = readWholeFile(folder / "x.bin");
    ASSERT_TRUE(succeeded(back));
    EXPECT_EQ(*back, bytes);
    EXPECT_EQ(folder.count(), 1U) << "a temporary file was left";
}

TEST(Files, AMissingFileIsNamed) {
    const auto result = readWholeFile("no/such/file.txt");
    ASSERT_FALSE(result);
    EXPECT_EQ(result.error().code, "file-not-found");
    EXPECT_EQ(result.error().where.path, "no/such/file.txt");
}

TEST(Files, AFolderIsNoFile) {
    const TemporaryFolder folder;
    EXPECT_EQ(readWholeFile(folder.path()).error().code, "file-not-regular");
    EXPECT_EQ(writeWholeFile(folder.path(), "x").error().code, "write-failed");
}

TEST(Files, TooLargeIsRefusedBeforeReading) {
    const TemporaryFolder folder;
    ASSERT_TRUE(succeeded(writeWholeFile(folder / "big", std::string(100, 'x'))));
    EXPECT_EQ(readWholeFile(folder / "big", 99).error().code, "file-too-large");
}

TEST(Files, AFailedWriteLeavesTheOldFile) {
    const TemporaryFolder folder;
    const auto result = writeWholeFile(folder / "missing" / "x", "new");
    ASSERT_FALSE(result);
    EXPECT_EQ(result.error().kind, ErrorKind::cannotWrite);
    EXPECT_EQ(folder.count(), 0U);
}

}  // namespace
}  // namespace greywright
