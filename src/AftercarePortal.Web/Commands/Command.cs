using System.Data.Common;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Commands;

/// <summary>What the program's first word asks for; without one it serves the portal.</summary>
internal static class Command
{
    private const string Help = """
        AftercarePortal
          (no word)        serve the portal
          content check    [FOLDER] check every content file; prints file:line:column: path: reason
          content rules    run the cases of the candidacy rules; what they read, miss and contradict (content rules --help)
          content preview  walk the questionnaire as one person does, see what is read then, run the cases (content preview --help)
          findings         what one filled intake says to settle first: FHIR R4 in, JSON out (findings --help)
          read             read patients' messages: JSON lines in, JSON lines out (read --help)
          clinic           add a clinic and whoever leads it, or give one other numbers (clinic --help)
          db               bring the database up to date, or print the SQL that would (db --help)
          rehearse         play one invented patient's fourteen days and check that everything due was done (rehearse --help)
          range            what one wish may cost and why: JSON in, JSON out; range check FILE; range simulate (range --help)
          picture          make a HEIC photo on standard input into a JPEG: the portal calls it for each
          --help           this text
        Exit codes: 0 done, 1 bad input, 2 wrong use.
        """;

    private static string Content => ContentLibrary.Folder;

    public static async Task<int> Run(string[] args)
    {
        switch (args)
        {
            case ["--help" or "-h" or "help", ..]:
                Console.Out.WriteLine(Help);
                return 0;
            case ["content", "check"]:
                return CheckContent(Content, Console.Out, Console.Error);
            case ["content", "check", "--help" or "-h"]:
                Console.Out.WriteLine("usage: content check [FOLDER]\nprints every fault as file:line:column: path: reason. exit codes: 0 no faults, 1 faults");
                return 0;
            case ["content", "check", var folder]:
                return CheckContent(folder, Console.Out, Console.Error);
            case ["content", "rules", .. var rest]:
                return RulesCommand.Run(rest, Console.Out, Console.Error, Content);
            case ["content", "preview", .. var rest]:
                return PreviewCommand.Run(rest, Console.Out, Console.Error, Content);
            case ["findings", .. var rest]:
                using (var lines = Console.OpenStandardOutput())
                    return FindingsCommand.Run(rest, Console.In, lines, Console.Error, Content, TimeProvider.System.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb.GetSystemDefault()).Date);
            case ["range", .. var rest]:
                return RangeCommand.Run(rest, Console.In, Console.Out, Console.Error, Content, TimeProvider.System.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb.GetSystemDefault()).Date);
            case ["read", .. var rest]:
                return ReadCommand.Run(rest, Console.In, Console.Out, Console.Error, Content);
            case [PictureCommand.Name]:
                return PictureCommand.Run(Console.OpenStandardInput(), Console.OpenStandardOutput());
            case ["clinic", .. var rest]:
                return await ClinicCommand.Run(rest, Console.Out, Console.Error);
            case ["db", .. var rest]:
                return await DbCommands.Run(rest, Console.Out, Console.Error);
            case ["rehearse", .. var rest]:
                return await RehearseCommand.Run(rest, Console.Out, Console.Error, AppContext.BaseDirectory);
            case [var word, ..] when !word.StartsWith('-'):
                Console.Error.WriteLine($"There is no command '{word}'.\n{Help}");
                return 2;
            default:
                return await Serve(args);
        }
    }

    // A portal without its tables would listen, take the carrier's message and lose it: it does not start.
    private static async Task<int> Serve(string[] args)
    {
        await using var portal = Portal.Build(args);
        if (StaffFeature.KeysHaveNoHome(portal.Configuration))
        {
            Console.Error.WriteLine("Keys:Folder is not set: name the folder where the keys of cookies and authenticators are kept, and back it up.");
            return 1;
        }

        if (StaffFeature.ComesOverHttps(portal.Configuration) && string.IsNullOrEmpty(portal.Configuration["Photos:Key"]))
        {
            Console.Error.WriteLine("Photos:Key is not set: 32 random bytes in base64, from a vault. The file beside a SQLite database is for a desk alone; what it encrypted opens on with its bytes in Photos:OldKeys.");
            return 1;
        }

        if (Proxies.AreMissing(portal.Configuration))
        {
            Console.Error.WriteLine("Proxies:Known is not set: browsers come over https, the portal listens on http, so a proxy stands between. Name its address: without it everybody counts as one where tries are limited.");
            return 1;
        }

        try
        {
            await using var scope = portal.Services.CreateAsyncScope();
            await scope.ServiceProvider.GetRequiredService<PortalDb>().Clinics.AnyAsync();
        }
        catch (DbException fault)
        {
            Console.Error.WriteLine($"The database cannot be used: {fault.Message}\nIs Database:Connection right, and was 'db migrate' run?");
            return 1;
        }

        try
        {
            await portal.RunAsync();
            return 0;
        }
        catch (OptionsValidationException bad)
        {
            Console.Error.WriteLine(bad.Message);
            return 1;
        }
    }

    /// <summary>Checks every content file of a folder and prints each fault with its place.</summary>
    internal static int CheckContent(string folder, TextWriter output, TextWriter error)
    {
        if (!Directory.Exists(folder))
        {
            error.WriteLine("There is no such folder.");
            return 1;
        }

        var errors = ContentLibrary.Faults(folder);
        foreach (var fault in errors) error.WriteLine(fault);
        output.WriteLine(errors.Count switch { 0 => "The content has no faults.", 1 => "1 fault.", var n => $"{n} faults." });
        return errors.Count == 0 ? 0 : 1;
    }
}
