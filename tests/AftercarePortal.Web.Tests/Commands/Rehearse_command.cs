using AftercarePortal.Web.Commands;
using Xunit;

namespace AftercarePortal.Web.Tests.Commands;

public sealed class Rehearse_command : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("aftercare-rehearse-");
    private readonly StringWriter _output = new(), _error = new();

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Away_from_the_source_folder_it_says_so()
    {
        Assert.Equal(2, await RehearseCommand.Run([], _output, _error, _folder.FullName));
        Assert.Contains("AftercarePortal.sln", _error.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_word_it_does_not_know_is_wrong_use() => Assert.Equal(2, await RehearseCommand.Run(["quickly"], _output, _error, _folder.FullName));

    [Fact]
    public async Task What_the_demo_prints_and_its_exit_code_come_through()
    {
        File.WriteAllText(Path.Combine(_folder.FullName, "AftercarePortal.sln"), "");
        var demo = _folder.CreateSubdirectory("src/AftercarePortal.Demo");
        var inside = demo.CreateSubdirectory("bin/here");
        File.WriteAllText(Path.Combine(demo.FullName, "AftercarePortal.Demo.csproj"),
            """<Project Sdk="Microsoft.NET.Sdk"><PropertyGroup><TargetFramework>net10.0</TargetFramework><OutputType>Exe</OutputType></PropertyGroup></Project>""");
        File.WriteAllText(Path.Combine(demo.FullName, "Program.cs"), """System.Console.WriteLine("day 0 " + args[0]); System.Console.Error.WriteLine("a warning"); return 7;""");
        var code = await RehearseCommand.Run([], _output, _error, inside.FullName);
        Assert.True(code == 7, $"{code}: {_output} {_error}");
        Assert.Contains("day 0 rehearse", _output.ToString(), StringComparison.Ordinal);
        Assert.Contains("a warning", _error.ToString(), StringComparison.Ordinal);
    }
}
