using System.Diagnostics;

namespace AftercarePortal.Web.Commands;

/// <summary>Plays one patient's fourteen days. The play lives in the demo, which nothing may reference: it is run as a program of its own.</summary>
internal static class RehearseCommand
{
    private const string Usage =
        """
        usage: rehearse | rehearse --simulate N [--seed S] | rehearse --mutants
        Plays one invented patient's fourteen days on a demo clock in under a minute: every text, a warning sign at night, STOP and START.
        Needs the source folder (the one with AftercarePortal.sln) and the .NET SDK; touches no database but its own.
        --simulate N --seed S  N bad nights on a fake clock from seed S (1): crashes, a misbehaving carrier, sleeping clinicians; rules checked after every event
        --mutants              plants faults one by one and tells which seed catches each
        exit codes: 0 everything due was done, 1 it was not (with a list), 2 wrong use, or the source folder or SDK is not there
        """;

    /// <param name="start">Folder from which the source folder is looked for, upwards.</param>
    public static async Task<int> Run(string[] args, TextWriter output, TextWriter error, string start)
    {
        if (args is ["--help" or "-h"]) { output.WriteLine(Usage); return 0; }
        if (args is not ([] or ["--mutants"] or ["--simulate", _] or ["--simulate", _, "--seed", _])) { error.WriteLine(Usage); return 2; }
        if (SourceFolder(start) is not { } folder)
        {
            error.WriteLine("There is no rehearsal here: it is part of the demo, and no folder above this program holds AftercarePortal.sln.");
            return 2;
        }

        return await RunDemo(folder, args, output, error);
    }

    private static string? SourceFolder(string start)
    {
        for (var folder = new DirectoryInfo(start); folder is not null; folder = folder.Parent)
            if (File.Exists(Path.Combine(folder.FullName, "AftercarePortal.sln"))) return folder.FullName;
        return null;
    }

    private static async Task<int> RunDemo(string folder, string[] how, TextWriter output, TextWriter error)
    {
        string[] words = ["run", "--project", Path.Combine(folder, "src", "AftercarePortal.Demo"), "-v", "q", "--no-launch-profile", "--", "rehearse", .. how];
        using var demo = new Process { StartInfo = new("dotnet", words) { WorkingDirectory = folder, RedirectStandardOutput = true, RedirectStandardError = true } };
        try
        {
            demo.Start();
        }
        catch (System.ComponentModel.Win32Exception)
        {
            error.WriteLine("The .NET SDK (dotnet) that runs the demo is not installed.");
            return 2;
        }

        await Task.WhenAll(PassOn(demo.StandardOutput, output), PassOn(demo.StandardError, error), demo.WaitForExitAsync());
        return demo.ExitCode;
    }

    private static async Task PassOn(StreamReader from, TextWriter to)
    {
        while (await from.ReadLineAsync() is { } line) await to.WriteLineAsync(line);
    }
}
