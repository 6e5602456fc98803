using AftercarePortal.Web.Commands;
using Xunit;

namespace AftercarePortal.Web.Tests.Commands;

public sealed class Db_commands
{
    [Theory]
    [InlineData("db")]
    [InlineData("db drop")]
    [InlineData("db migrate now")]
    [InlineData("db script --to --Database:Kind=sqlite")]
    public async Task Wrong_use_answers_2_and_how_to_use_it(string line)
    {
        var (code, _, error) = await Run(line);
        Assert.Equal(2, code);
        Assert.Contains("usage: db migrate", error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Help_answers_0()
    {
        var (code, output, _) = await Run("db migrate --help");
        Assert.Equal(0, code);
        Assert.Contains("exit codes", output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_kind_of_database_it_does_not_know_answers_1_and_names_the_three()
    {
        var (code, _, error) = await Run("db migrate --Database:Kind=paper");
        Assert.Equal(1, code);
        Assert.Contains("sqlite, postgres or sqlserver", error, StringComparison.Ordinal);
    }

    private static async Task<(int Code, string Output, string Error)> Run(string line)
    {
        using StringWriter output = new(), error = new();
        return (await DbCommands.Run(line.Split(' ')[1..], output, error), output.ToString(), error.ToString());
    }
}
