using AftercarePortal.Web.Commands;

return await Command.Run(args);
