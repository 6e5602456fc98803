using AftercarePortal.Testing;
using AftercarePortal.Web.Features.Staff;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Staff;

public sealed class One_time_code
{
    // "12345678901234567890" in Base32.
    private const string Key = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ";

    [Theory]
    [Source("RFC 6238", at: "Appendix B, SHA1 rows; the last six of eight digits")]
    [InlineData(59, "287082")]
    [InlineData(1111111109, "081804")]
    [InlineData(1111111111, "050471")]
    [InlineData(1234567890, "005924")]
    [InlineData(2000000000, "279037")]
    [InlineData(20000000000, "353130")]
    public void It_is_the_one_the_standard_prints(long seconds, string code) =>
        Assert.Equal(code, OneTimeCode.At(Key, OneTimeCode.StepAt(Instant.FromUnixTimeSeconds(seconds))));

    [Fact]
    public void A_code_used_once_does_not_open_again()
    {
        var now = Instant.FromUnixTimeSeconds(59);
        Assert.Equal(1, OneTimeCode.StepOf(Key, "287 082", now, lastUsed: 0));
        Assert.Null(OneTimeCode.StepOf(Key, "287082", now, lastUsed: 1));
    }

    [Fact]
    public void A_code_two_steps_old_does_not_open() =>
        Assert.Null(OneTimeCode.StepOf(Key, "287082", Instant.FromUnixTimeSeconds(59 + 60), lastUsed: 0));

    [Fact]
    public void A_new_key_has_160_bits() => Assert.Matches("^[A-Z2-7]{32}$", OneTimeCode.NewKey());
}
